import type { LutTable } from '../lut/lut.ts'
import { putDecimal, putText, shortestDecimal } from './decimal.ts'

/** Groups of three digits as four bytes: with the point before them, and with nothing after them. */
const afterPoint = new Uint32Array(1000)
const following = new Uint32Array(1000)
/** Digits of a group that are left when the zeros at its end are taken off. */
const significant = new Uint8Array(1000)
/** Characters of the last group but one, with its point, where the last is zero. */
const shortened = new Uint8Array(1000)
for (let group = 0; group < 1000; group++) {
  const text = String(group).padStart(3, '0')
  const digits = text.charCodeAt(0) | (text.charCodeAt(1) << 8) | (text.charCodeAt(2) << 16)
  afterPoint[group] = 46 | (digits << 8)
  following[group] = digits
  significant[group] = text.replace(/0+$/, '').length
  shortened[group] = group === 0 ? 0 : 1 + significant[group]!
}

/**
 * Writes the triples of `table` from index `from` on as lines into `bytes`, as long as there is room. Gives back the
 * index of the first number that had none, and where the text ended.
 *
 * @param decimals at most as many, zeros at the end left out, 0…12; `exact`: as many as the number has
 */
export function putLines(
  table: LutTable,
  from: number,
  decimals: number | 'exact',
  bytes: Uint8Array,
): { readonly next: number; readonly end: number } {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length)
  const single = table instanceof Float32Array
  // Up to six decimals are written as two groups of three; what is too much are zeros at the end, which fall away.
  const grouped = decimals !== 'exact' && decimals <= 6
  const scale = grouped ? Number(`1e${decimals}`) : 0
  const fill = grouped ? Number(`1e${6 - decimals}`) : 0
  const most = grouped ? 1e7 / fill - 1 : 0
  const room = bytes.length - 128
  // In a bundle the constants of a module are variables, which the loop would load anew for every number.
  const [points, groups, lengths, shorts] = [afterPoint, following, significant, shortened]
  let at = 0
  let i = from
  for (; i < table.length && at <= room; i++) {
    const value = table[i]!
    const scaled = Math.abs(value) * scale
    if (scaled < most) {
      // Cut off to a whole number after one half is added: Math.round but for the one double just below a half, in a
      // fraction of its time.
      const millionths = Math.imul(scaled + 0.5, fill)
      bytes[at] = 45
      // No sign before what is rounded to zero. No branches: one that is rarely taken costs a fresh compilation.
      at += Math.min(value < 0 ? 1 : 0, millionths)
      const thousandths = (millionths / 1000) | 0
      const whole = (thousandths / 1000) | 0
      const upper = thousandths - whole * 1000
      const lower = millionths - thousandths * 1000
      bytes[at] = 48 + whole
      view.setUint32(at + 1, points[upper]!, true)
      view.setUint32(at + 5, groups[lower]!, true)
      at += 1 + (lower > 0 ? 4 + lengths[lower]! : shorts[upper]!)
    } else if (decimals === 'exact') at = putText(shortestDecimal(value, single), bytes, at)
    else at = putDecimal(value, decimals, bytes, at)
    bytes[at++] = i % 3 === 2 ? 10 : 32
  }
  return { next: i, end: at }
}
