import type { LutTable } from '../lut/lut.ts'
import { putDecimal, putText, shortestDecimal } from './decimal.ts'

/** Groups of three digits as four bytes: with the point before them, and with nothing after them. */
const afterPoint = new Uint32Array(1000)
const following = new Uint32Array(1000)
/** Digits of a group that are left when the zeros at its end are taken off. */
const significant = new Uint8Array(1000)
for (let group = 0; group < 1000; group++) {
  const text = String(group).padStart(3, '0')
  const digits = text.charCodeAt(0) | (text.charCodeAt(1) << 8) | (text.charCodeAt(2) << 16)
  afterPoint[group] = 46 | (digits << 8)
  following[group] = digits
  significant[group] = text.replace(/0+$/, '').length
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
  const scale = grouped ? 10 ** decimals : 0
  const fill = grouped ? 10 ** (6 - decimals) : 0
  const most = grouped ? 1e7 / fill : 0
  const room = bytes.length - 128
  let at = 0
  let i = from
  for (; i < table.length && at <= room; i++) {
    const value = table[i]!
    const scaled = Math.round(Math.abs(value) * scale)
    if (scaled < most) {
      if (value < 0 && scaled > 0) bytes[at++] = 45
      const millionths = (scaled * fill) | 0
      const thousandths = (millionths / 1000) | 0
      const whole = (thousandths / 1000) | 0
      const upper = thousandths - whole * 1000
      const lower = millionths - thousandths * 1000
      bytes[at++] = 48 + whole
      view.setUint32(at, afterPoint[upper]!, true)
      view.setUint32(at + 4, following[lower]!, true)
      if (lower > 0) at += 4 + significant[lower]!
      else if (upper > 0) at += 1 + significant[upper]!
    } else if (decimals === 'exact') at = putText(shortestDecimal(value, single), bytes, at)
    else at = putDecimal(value, decimals, bytes, at)
    bytes[at++] = i % 3 === 2 ? 10 : 32
  }
  return { next: i, end: at }
}
