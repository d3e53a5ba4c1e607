import type { Vec3 } from '@isochip/core'
import { type LatticeLut, writeCube } from '@isochip/export'

/** A stream of numbers 0…1, always the same for the same start (xorshift32, G. Marsaglia, J. Stat. Softw. 8, 2003). */
export function numbersFrom(start: number): () => number {
  let state = (Math.imul(start + 1, 0x9e3779b1) ^ 0x5bd1e995) >>> 0 || 1
  const next = () => {
    state ^= state << 13
    state ^= state >>> 17
    state ^= state << 5
    state >>>= 0
    return state / 2 ** 32
  }
  for (let i = 0; i < 8; i++) next()
  return next
}

/** Pixels of a test frame. */
export const frameWidth = 64
export const frameHeight = 24

/** A 16-bit RGB frame: the corners of the cube, greys, ties, then any colours. */
export function testFrame(number: number): Uint16Array {
  const random = numbersFrom(1e6 + number)
  const frame = Uint16Array.from({ length: 3 * frameWidth * frameHeight }, () => Math.floor(random() * 65536))
  for (let corner = 0; corner < 8; corner++) {
    for (const c of [0, 1, 2]) frame[3 * corner + c] = (corner >> c) & 1 ? 65535 : 0
  }
  for (let i = 8; i < 64; i++) frame.fill(Math.round(((i - 8) / 55) * 65535), 3 * i, 3 * i + 3)
  for (let i = 64; i < 128; i++) frame[3 * i + (i % 3)] = frame[3 * i + ((i + 1) % 3)]!
  return frame
}

/**
 * LUT number 0…: sizes 2 to 256, domains of every kind, tables from gentle to wild. Wild tables on large lattices
 * are left out: there a step of single precision in the position, which is what other programs compute with, is
 * itself more than a code value.
 */
function numberedLut(number: number): LatticeLut {
  const random = numbersFrom(number)
  const size =
    number % 250 === 249 ? 256 : number % 125 === 100 ? 129 : number % 25 === 7 ? 65 : 2 + (number % 32)
  const wild = random() * Math.min(1, 32 / (size - 1))
  const bend = 0.6 + random()
  const domain = number % 3
  const min: Vec3 = domain === 2 ? [random() - 0.5, random() - 0.5, random() - 0.5] : [0, 0, 0]
  const width = () => (domain === 0 ? 1 : domain === 1 ? 1 + 2 * random() : 0.3 + 2 * random())
  const max: Vec3 = [min[0] + width(), min[1] + width(), min[2] + width()]
  const table = new Float64Array(3 * size ** 3)
  let at = 0
  for (let k = 0; k < size; k++) {
    for (let j = 0; j < size; j++) {
      for (let i = 0; i < size; i++) {
        for (const node of [i, j, k]) {
          table[at++] = (node / (size - 1)) ** bend * (1 - wild) + (1.2 * random() - 0.1) * wild
        }
      }
    }
  }
  return { kind: 'lattice', size, domainMin: min, domainMax: max, tableRedFastest: table }
}

export function numberedCube(number: number): string {
  return writeCube(numberedLut(number))
}

export function largestDifference(a: Uint16Array, b: Uint16Array): number {
  if (a.length !== b.length) throw new Error(`${a.length} samples against ${b.length}`)
  let largest = 0
  for (let i = 0; i < a.length; i++) largest = Math.max(largest, Math.abs(a[i]! - b[i]!))
  return largest
}
