import type { Draw } from './draw.ts'
import { hostileNames, hostileNumbers } from './hostile.ts'

/** Stands for a number as a file may write it, which JavaScript cannot hold. */
const mark = '\u0001'
const raw = (text: string) => `${mark}${text}${mark}`

type Holder = Record<string, unknown> | unknown[]

const isHolder = (value: unknown): value is Holder => typeof value === 'object' && value !== null

/**
 * Plain data as JSON, with such numbers in their own writing. On a stack of its own: what is nested to try a reader may
 * not end the writer.
 */
export function rawJson(root: unknown): string {
  let out = ''
  const ahead: ({ readonly text: string } | { readonly value: unknown })[] = [{ value: root }]
  for (let next = ahead.pop(); next !== undefined; next = ahead.pop()) {
    if ('text' in next) out += next.text
    else if (isHolder(next.value)) {
      const { value } = next
      const list = Array.isArray(value)
      out += list ? '[' : '{'
      ahead.push({ text: list ? ']' : '}' })
      const entries = Object.entries(value)
      for (const [i, [key, member]] of entries.reverse().entries()) {
        if (i > 0) ahead.push({ text: ',\n' })
        ahead.push({ value: member })
        if (!list) ahead.push({ text: `${JSON.stringify(key)}: ` })
      }
    } else {
      const { value } = next
      const number =
        typeof value === 'string' && value.length > 1 && value.startsWith(mark) && value.endsWith(mark)
      out += number ? value.slice(1, -1) : (JSON.stringify(value) ?? 'null')
    }
  }
  return out
}

/** Every member of plain data, by what holds it. */
function members(value: unknown, into: { holder: Holder; key: string }[] = []) {
  if (!isHolder(value)) return into
  for (const key of Object.keys(value)) {
    into.push({ holder: value, key })
    members((value as Record<string, unknown>)[key], into)
  }
  return into
}

const put = (holder: Holder, key: string, value: unknown) =>
  Object.defineProperty(holder, key, { value, enumerable: true, writable: true, configurable: true })

function deep(levels: number): unknown {
  let value: unknown = 1
  for (let i = 0; i < levels; i++) value = i % 2 === 0 ? [value] : { a: value }
  return value
}

const values: ((draw: Draw, old: unknown) => unknown)[] = [
  (draw) => raw(draw.of(hostileNumbers)),
  (draw) => draw.of(hostileNames),
  (draw) => draw.of([null, true, false, [], {}, '', [[]], [{}], [null]]),
  (_, old) => (Array.isArray(old) ? [...old, ...old] : [old]),
  (_, old) => (Array.isArray(old) ? old.slice(1) : { a: old }),
  (draw, old) => Array.from({ length: draw.of([2, 100, 5000]) }, () => (isHolder(old) ? 1 : old)),
  (_, old) => (typeof old === 'number' ? -old : String(old)),
  (draw, old) => (typeof old === 'number' ? old * draw.of([0, 1e-12, 1e3, 1e6, 1e30, 1e300]) : old),
  (draw) => deep(draw.of([5, 100, 1000])),
]

/** Changes one member of plain data: its value, its name, whether it is there. Changes what it is given. */
export function changeTree(root: unknown, draw: Draw): void {
  const all = members(root)
  if (all.length === 0) return
  // Lists of numbers are long: half of the time something that has a name is taken.
  const named = all.filter(({ holder }) => !Array.isArray(holder))
  const { holder, key } = draw.of(draw.chance(0.6) && named.length > 0 ? named : all)
  const old = (holder as Record<string, unknown>)[key]
  const way = draw.below(10)
  if (way === 0) {
    if (Array.isArray(holder)) holder.splice(Number(key), 1)
    else delete holder[key]
  } else if (way === 1)
    put(holder, Array.isArray(holder) ? String(holder.length) : draw.of(hostileNames), old)
  else if (way === 2) {
    const other = draw.of(all)
    put(holder, key, structuredClone((other.holder as Record<string, unknown>)[other.key]))
  } else put(holder, key, draw.of(values)(draw, old))
}
