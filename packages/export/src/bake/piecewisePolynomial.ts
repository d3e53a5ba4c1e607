import { cos, exp2, pow } from '@isochip/core'
import type { BatchCurve } from './batchCurve.ts'

/** Sizes of a value from 2^-12 to 2^6: smaller ones lie in the straight toe of a curve, larger ones are no picture. */
const lowest = -12
const highest = 6
/** Pieces an octave. */
const pieces = 32
const all = (highest - lowest) * pieces
/** Which half of a double is the upper one on this machine, the one with the sign. */
const upper = new Uint32Array(Float64Array.of(1).buffer)[1] === 0 ? 0 : 1
/** Eight numbers a piece: its middle, then seven coefficients of the powers of the distance from it. */
const half = 8 * all
/** Of a number whose size has no piece. */
const noRow = -1
/** So many numbers that no polynomial serves for are remembered with their result: a lattice asks for the same few again and again. */
const remembered = 1024
/** Largest error at the points of a piece that are tried: of values up to 1 as it is, of larger ones as a share. */
const tolerance = 1e-14

const nodes = 7
/** Where a polynomial of degree six meets the curve, and where it is farthest from it, the ends among them: −1…1. */
const meet = Array.from({ length: nodes }, (_, k) => cos(((k + 0.5) * Math.PI) / nodes))
const part = Array.from({ length: nodes + 1 }, (_, k) => cos((k * Math.PI) / nodes))

/**
 * A curve by polynomials of degree six, 32 an octave on either side of zero, where they are within 1e-14 of it (of 1,
 * or of the value where that is larger); the curve itself elsewhere: around a break, and for sizes outside 2^-12…2^6.
 * Takes a third of the time of a logarithm and an exponential, of which a LUT takes a hundred thousand.
 *
 * A piece is made when it is first needed, through the Chebyshev points of its range (L. N. Trefethen, Approximation
 * Theory and Approximation Practice, 2013, chapters 2 to 4), and tried at the points between them where such a
 * polynomial is farthest from a smooth curve, and at both ends, so that no single step or bend escapes it. Not for curves
 * that may have several within a piece, as a table can.
 */
export class PiecewisePolynomial implements BatchCurve {
  private readonly exact: (x: number) => number
  /** Pieces above zero, then those below. NaN in the first place: not made yet; in the second: of no use. */
  private readonly rows = new Float64Array(2 * half).fill(Number.NaN)
  private readonly single = new Float64Array(1)
  private readonly lastOnes = new Float64Array(remembered).fill(Number.NaN)
  private readonly theirResults = new Float64Array(remembered)
  /** Row of the number that `run` has stopped at. */
  private halted = noRow

  constructor(exact: (x: number) => number) {
    this.exact = exact
  }

  at(x: number): number {
    this.single[0] = x
    this.each(this.single, 0, 1)
    return this.single[0]
  }

  /** Every `step`-th number from the one at `start` on, in place: no function is called a number, and none is boxed. */
  each(values: Float64Array, start: number, step: number): void {
    const words = new Int32Array(values.buffer, values.byteOffset, 2 * values.length)
    for (let i = start; ; i += step) {
      i = this.run(values, words, i, step)
      if (i >= values.length) return
      values[i] = this.otherwise(values[i]!, this.halted, words[2 * i + upper]!)
    }
  }

  /**
   * The same until there is a number without a polynomial: gives back its index, and leaves its row. A loop without
   * calls is a fast one.
   */
  private run(values: Float64Array, words: Int32Array, start: number, step: number): number {
    const { rows } = this
    const high = upper
    let i = start
    let row = noRow
    for (; i < values.length; i += step) {
      const word = words[2 * i + high]!
      // A double (IEEE 754) starts with a sign, eleven bits of exponent that stand for 1023 less, and the mantissa. Plain
      // numbers in place of `lowest`, `pieces`, `all` and `half`: in a bundle the constants of a module are variables,
      // and without their range every step from here on is checked for overflow, which takes half as long again.
      const piece = ((word & 0x7fffffff) >> (20 - 5)) - (1023 - 12) * 32
      if (piece < 0 || piece >= 18 * 32) {
        row = noRow
        break
      }
      row = 8 * piece + (word < 0 ? 8 * 18 * 32 : 0)
      const y = polynomial(rows, row, Math.abs(values[i]!))
      if (Number.isNaN(y)) break
      values[i] = y
    }
    this.halted = row
    return i
  }

  private otherwise(x: number, row: number, word: number): number {
    if (row === noRow || !Number.isNaN(this.rows[row]!)) return this.remember(x, word)
    this.make(row)
    return this.at(x)
  }

  /** @param word upper half of the number: multiples of 1/128 from 0 to 1 each have a place of their own by it */
  private remember(x: number, word: number): number {
    // Zeros of either sign are equal and may have results of their own.
    if (x === 0) return this.exact(x)
    const { lastOnes, theirResults } = this
    const place = ((word >>> 13) ^ word) & (remembered - 1)
    if (lastOnes[place] === x) return theirResults[place]!
    const y = this.exact(x)
    lastOnes[place] = x
    theirResults[place] = y
    return y
  }

  private make(row: number): void {
    const { rows } = this
    const piece = (row % half) / 8
    const sign = row < half ? 1 : -1
    const octave = exp2(Math.floor(piece / pieces) + lowest)
    const reach = octave / (2 * pieces)
    const middle = octave + (2 * (piece % pieces) + 1) * reach
    const curve = (u: number) => this.exact(sign * (middle + u * reach))
    const values = meet.map(curve)
    const c = meet.map((_, j) => {
      const sum = values.reduce((s, y, k) => s + y * cos((j * (k + 0.5) * Math.PI) / nodes), 0)
      return (sum * (j === 0 ? 1 : 2)) / nodes
    }) as [number, number, number, number, number, number, number]
    // Chebyshev polynomials written out in powers.
    const powers = [
      c[0] - c[2] + c[4] - c[6],
      c[1] - 3 * c[3] + 5 * c[5],
      2 * c[2] - 8 * c[4] + 18 * c[6],
      4 * c[3] - 20 * c[5],
      8 * c[4] - 48 * c[6],
      16 * c[5],
      32 * c[6],
    ]
    // All that may throw comes before the first number is written: a piece is made whole or not at all.
    const tried = part.map(curve)
    rows[row] = middle
    for (const [k, p] of powers.entries()) rows[row + 1 + k] = p / pow(reach, k)
    const fits = tried.every((y, k) => {
      const x = middle + part[k]! * reach
      return Math.abs(polynomial(rows, row, x) - y) <= tolerance * Math.max(1, Math.abs(y))
    })
    if (!fits) rows[row + 1] = Number.NaN
  }
}

/** In pairs of terms, which a processor works out side by side. */
function polynomial(rows: Float64Array, row: number, size: number): number {
  const t = size - rows[row]!
  const t2 = t * t
  const low = rows[row + 1]! + rows[row + 2]! * t
  const middle = rows[row + 3]! + rows[row + 4]! * t
  const high = rows[row + 5]! + rows[row + 6]! * t + rows[row + 7]! * t2
  return low + t2 * (middle + t2 * high)
}
