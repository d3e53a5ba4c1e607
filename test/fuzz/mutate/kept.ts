import { createHash } from 'node:crypto'
import { deserialize, serialize } from 'node:v8'
import type { Draw } from './draw.ts'
import { changeTree } from './tree.ts'

/** An entry of a cache: a mark, its key and a digest, each on a line; then its value. */
interface Entry {
  readonly mark: string
  readonly key: string
  readonly sum: string
  readonly payload: Uint8Array
}

/** `undefined` for bytes that are not built like one. */
export function entryOf(bytes: Uint8Array): Entry | undefined {
  const found = /^([^\n]+\n)([0-9a-f]{64})\n([0-9a-f]{64})\n/.exec(
    Buffer.from(bytes.subarray(0, 200)).toString('latin1'),
  )
  if (found === null) return undefined
  const [head, mark, key, sum] = found
  return { mark: mark!, key: key!, sum: sum!, payload: bytes.subarray(head.length) }
}

/** As a run signs what it keeps: somebody who writes there on purpose can do that as well. */
export const digestOf = ({ mark, key, payload }: Entry): string =>
  createHash('sha256').update(mark).update(key).update(payload).digest('hex')

const bytesOf = ({ mark, key, payload }: Entry, sum: string) =>
  Buffer.concat([Buffer.from(`${mark}${key}\n${sum}\n`, 'latin1'), payload])

const numbers = [Number.NaN, Infinity, -Infinity, -0, 1e300, 5e-324, -1, 0.5]

/** Changes an entry of a cache: its head, its value, with the digest of before or with that of what it is now. */
export function changeKept(bytes: Uint8Array, draw: Draw, samples: readonly Uint8Array[]): Uint8Array {
  const entry = entryOf(bytes)
  const other = draw.of(samples)
  if (entry === undefined) return other
  const way = draw.below(8)
  if (way === 0) return other
  if (way === 1) {
    const at = draw.below(Math.min(bytes.length, other.length))
    return Buffer.concat([bytes.subarray(0, at), other.subarray(at)])
  }
  // The value of another, under this key.
  if (way === 2) {
    const swapped = { ...entry, payload: entryOf(other)?.payload ?? other }
    return bytesOf(swapped, draw.chance(0.5) ? digestOf(swapped) : entry.sum)
  }
  const value = changedValue(deserialize(entry.payload), draw)
  const changed = { ...entry, payload: serialize(value) }
  return bytesOf(changed, draw.chance(0.8) ? digestOf(changed) : entry.sum)
}

function changedValue(value: unknown, draw: Draw): unknown {
  // A list of members stands for a map, which the changes of trees do not know.
  const root = { value: value instanceof Map ? [...value] : value }
  for (let steps = draw.of([1, 1, 2, 4]); steps > 0; steps--)
    if (draw.chance(0.2)) changeNumber(root, draw)
    else changeTree(root, draw)
  if (!(value instanceof Map)) return root.value
  const members = Array.isArray(root.value) ? root.value : []
  return new Map(members.filter(Array.isArray) as [unknown, unknown][])
}

function changeNumber(root: unknown, draw: Draw): void {
  const found: [Record<string, unknown>, string][] = []
  const walk = (holder: unknown) => {
    if (typeof holder !== 'object' || holder === null) return
    for (const [key, inner] of Object.entries(holder))
      if (typeof inner === 'number') found.push([holder as Record<string, unknown>, key])
      else walk(inner)
  }
  walk(root)
  if (found.length === 0) return
  const [holder, key] = draw.of(found)
  holder[key] = draw.of(numbers)
}
