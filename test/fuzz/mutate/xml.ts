import type { Draw } from './draw.ts'
import { hostileNames, hostileNumbers } from './hostile.ts'

const attribute = / ([\w:]+)="([^"]*)"/g
const leaf = /<(\w[\w:]*)([^<>]*)>([^<>]*)<\/\1>/g
const element = /<(\w[\w:]*)([^<>]*?)(\/>|>[\s\S]*?<\/\1>)/g

function at(text: string, pattern: RegExp, draw: Draw, by: (match: RegExpExecArray) => string): string {
  const found = [...text.matchAll(pattern)] as RegExpExecArray[]
  if (found.length === 0) return text
  const match = draw.of(found)
  return text.slice(0, match.index) + by(match) + text.slice(match.index + match[0].length)
}

const escaped = (text: string) =>
  text.replace(/[&<"]/g, (letter) => ({ '&': '&amp;', '<': '&lt;', '"': '&quot;' })[letter]!)

const ways: readonly ((text: string, draw: Draw) => string)[] = [
  // An attribute gets another value: a number, a name, that of another.
  (text, draw) => {
    const values = [...text.matchAll(attribute)].map((match) => match[2]!)
    const value = () =>
      draw.of([draw.of(hostileNumbers), draw.of(hostileNames), draw.of(values), 'true', 'false'])
    return at(text, attribute, draw, ([, name]) => ` ${name}="${escaped(value())}"`)
  },
  (text, draw) => at(text, attribute, draw, () => ''),
  (text, draw) =>
    at(
      text,
      attribute,
      draw,
      ([whole]) => whole + whole.replace(/ ([\w:]+)/, draw.of([' $1', ' x$1', ' xml:$1'])),
    ),
  (text, draw) => at(text, element, draw, () => ''),
  (text, draw) => at(text, element, draw, ([whole]) => whole.repeat(draw.of([2, 3, 50]))),
  (text, draw) => {
    const all = [...text.matchAll(element)].map(([whole]) => whole)
    return at(text, element, draw, () => (all.length === 0 ? '' : draw.of(all)))
  },
  // Numbers within an element: one other, one more, one less, none.
  (text, draw) =>
    at(text, leaf, draw, ([, name, attributes, inner]) => {
      const numbers = inner!.trim().split(/\s+/)
      const index = draw.below(numbers.length)
      const change = draw.below(4)
      if (change === 0) numbers.splice(index, 1)
      else if (change === 1) numbers.splice(index, 0, draw.of(hostileNumbers))
      else numbers[index] = draw.of(hostileNumbers)
      return `<${name}${attributes}>${escaped(numbers.join(' '))}</${name}>`
    }),
  (text, draw) => at(text, leaf, draw, ([, name, attributes]) => `<${name}${attributes}></${name}>`),
  (text, draw) => {
    const prefix = draw.of(['clf:', 'x:', ''])
    return text.replace(/<(\/?)(\w[\w]*)/g, (_, slash: string, name: string) => `<${slash}${prefix}${name}`)
  },
]

/** Changes an XML text in one to three places. */
export function changeXml(text: string, draw: Draw): string {
  let out = text
  for (let steps = draw.of([1, 1, 2, 3]); steps > 0; steps--) out = draw.of(ways)(out, draw)
  return out
}
