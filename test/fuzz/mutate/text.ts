import type { Draw } from './draw.ts'
import { hostileNames, hostileNumbers } from './hostile.ts'
import { longest } from './longest.ts'

const numberPattern = /[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?/g
const wordPattern = /[\p{L}_][\p{L}\p{N}_.-]*/gu

/** Replaces one of the matches of a pattern. */
function replaced(text: string, pattern: RegExp, draw: Draw, by: () => string): string {
  const found = [...text.matchAll(pattern)]
  if (found.length === 0) return text
  // What stands at the beginning says what the rest is: drawn more often.
  const { 0: match, index } = found[draw.below(draw.chance(0.5) ? Math.min(found.length, 12) : found.length)]!
  return text.slice(0, index) + by() + text.slice(index + match.length)
}

const lineEnds = ['\r\n', '\r', '\n\n', '\u2028', ' \n', '\n\t']

/** Ways to change a text, knowing numbers, words and lines. */
export const textWays: Readonly<Record<string, (text: string, draw: Draw) => string>> = {
  number: (text, draw) => replaced(text, numberPattern, draw, () => draw.of(hostileNumbers)),
  name: (text, draw) => replaced(text, wordPattern, draw, () => draw.of(hostileNames)),
  word: (text, draw) => {
    const words = text.match(wordPattern) ?? ['']
    return replaced(text, wordPattern, draw, () => draw.of(words))
  },
  lineGone: (text, draw) => {
    const lines = text.split('\n')
    lines.splice(draw.below(lines.length), 1 + draw.below(3))
    return lines.join('\n')
  },
  lineTwice: (text, draw) => {
    const lines = text.split('\n')
    const at = draw.below(lines.length)
    const times = Math.min(draw.of([1, 1, 2, 1000]), Math.ceil(longest / (lines[at]!.length + 1)))
    lines.splice(at, 0, ...Array.from({ length: times }, () => lines[at]!))
    return lines.join('\n')
  },
  linesSwapped: (text, draw) => {
    const lines = text.split('\n')
    const [a, b] = [draw.below(lines.length), draw.below(lines.length)]
    ;[lines[a], lines[b]] = [lines[b]!, lines[a]!]
    return lines.join('\n')
  },
  separator: (text, draw) => {
    const [from, to] = draw.of([
      [',', ';'],
      [' ', '\t'],
      ['.', ','],
      [':', ''],
      ['"', "'"],
      ['"', ''],
      ['>', ''],
      ['  ', ' '],
    ] as const)
    return draw.chance(0.5) ? text.replace(from, to) : text.replaceAll(from, to)
  },
  lineEnds: (text, draw) => text.replaceAll('\n', draw.of(lineEnds)),
  mark: (text, draw) =>
    draw.of(['\ufeff', '\u0000', '#', '<', '{', '%YAML 1.2\n---\n', '---\n', ' ', '\t']) + text,
  longLine: (text, draw) => {
    const at = draw.below(text.length + 1)
    return (
      text.slice(0, at) +
      draw.of(['x', '1', ' ', '"', '-', 'é', '\t']).repeat(draw.of([500, 70_000, 2_000_000])) +
      text.slice(at)
    )
  },
  nesting: (text, draw) => {
    const at = draw.chance(0.5) ? 0 : draw.below(text.length + 1)
    const open = draw.of([
      '[',
      '{',
      '{"a":',
      '[[',
      '- ',
      '<a>',
      '<a b="',
      '(',
      '"',
      '? ',
      '&a [*a,',
      '!!x ',
      '>\n ',
      '<![CDATA[',
      '<!--',
    ])
    return text.slice(0, at) + open.repeat(draw.of([3, 200, 20_000, 200_000])) + text.slice(at)
  },
  aliases: (text, draw) => {
    // Each level has the one before nine times over.
    const levels = Array.from({ length: 3 + draw.below(12) }, (_, i) =>
      i === 0
        ? 'x0: &x0 [lol, lol]'
        : `x${i}: &x${i} [${Array.from({ length: 9 }, () => `*x${i - 1}`).join(', ')}]`,
    )
    return `${levels.join('\n')}\n${text}`
  },
  entities: (text, draw) => {
    const levels = Array.from(
      { length: 9 },
      (_, i) => `<!ENTITY x${i} "${i === 0 ? 'lol' : `&x${i - 1};`.repeat(10)}">`,
    )
    const type = draw.of([levels.join(''), '<!ENTITY x8 SYSTEM "file:///etc/hostname">'])
    return text
      .replace(/^(<\?xml[^>]*>)?/, `$1<!DOCTYPE ProcessList [${type}]>`)
      .replace(/>([^<]{0,99}\d[^<]{0,99})</, '>&x8;$1<')
  },
}
