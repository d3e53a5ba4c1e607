import { IsochipError, type Place, type Vec3 } from '@isochip/core'

/** Numbers of a LUT: double precision where it was computed here, single where memory counts. */
export type LutTable = Float64Array | Float32Array

/**
 * A 3D lattice. Node (i, j, k) stands at domainMin + (i, j, k) / (size − 1) · (domainMax − domainMin); its RGB value
 * is `tableRedFastest[3 · (i + size · (j + size · k))]` and the two after it: red runs fastest, as in a `.cube` file.
 * (A Common LUT Format array runs blue-fastest.)
 */
export interface LatticeLut {
  readonly kind: 'lattice'
  readonly title?: string
  /** Nodes along each axis, 2…256. */
  readonly size: number
  /** The input that meets the first and the last node, per channel; input outside is clamped to it. */
  readonly domainMin: Vec3
  readonly domainMax: Vec3
  /** size³ RGB triples. */
  readonly tableRedFastest: LutTable
}

/** A 1D LUT per channel: sample i stands at domainMin + i / (size − 1) · (domainMax − domainMin). */
export interface CurveLut {
  readonly kind: 'curve'
  readonly title?: string
  /** Samples, 2…65536. */
  readonly size: number
  readonly domainMin: Vec3
  readonly domainMax: Vec3
  /** `size` RGB triples. */
  readonly table: LutTable
}

/** A 1D LUT (the shaper) whose output goes into a 3D lattice. */
export interface ShapedLut {
  readonly kind: 'shaped'
  readonly title?: string
  readonly curve: CurveLut
  readonly lattice: LatticeLut
}

export type Lut = LatticeLut | CurveLut | ShapedLut

/** The limits of the formats, in one place. */
export const lutLimits = {
  /** Cube LUT Specification 1.0, LUT_3D_SIZE. */
  latticeSize: { min: 2, max: 256 },
  /** Cube LUT Specification 1.0, LUT_1D_SIZE. */
  curveSize: { min: 2, max: 65536 },
} as const

const channelNames = ['red', 'green', 'blue'] as const

/**
 * Checks all that the types cannot say: sizes, lengths, a rising domain, finite numbers.
 *
 * @throws IsochipError `lut-limits`
 */
export function checkLut(lut: Lut, place: Place = {}): void {
  if (lut.kind === 'shaped') {
    checkLut(lut.curve, place)
    checkLut(lut.lattice, place)
    return
  }
  const fail = (message: string): never => {
    throw new IsochipError('lut-limits', message, { place })
  }
  const { size } = lut
  const { min, max } = lut.kind === 'lattice' ? lutLimits.latticeSize : lutLimits.curveSize
  const name = lut.kind === 'lattice' ? '3D' : '1D'
  if (!Number.isInteger(size) || size < min || size > max) {
    fail(`${name} LUT size is ${size}, expected a whole number from ${min} to ${max}`)
  }
  checkDomain(lut, place)
  const table = lut.kind === 'lattice' ? lut.tableRedFastest : lut.table
  const nodes = lut.kind === 'lattice' ? size * size * size : size
  if (table.length !== 3 * nodes) {
    fail(`${name} LUT table has ${table.length} numbers, expected ${3 * nodes}`)
  }
  const bad = firstNotFinite(table)
  if (bad >= 0) {
    fail(
      `value ${table[bad]} for ${channelNames[bad % 3]} in entry ${Math.floor(bad / 3)} of the ${name} LUT, expected a finite number`,
    )
  }
}

/** @throws IsochipError `lut-limits` */
export function checkDomain(
  { domainMin, domainMax }: Pick<LatticeLut, 'domainMin' | 'domainMax'>,
  place: Place = {},
): void {
  for (const c of [0, 1, 2] as const) {
    if (!(Number.isFinite(domainMax[c] - domainMin[c]) && domainMax[c] > domainMin[c])) {
      throw new IsochipError(
        'lut-limits',
        `domain of ${channelNames[c]} is ${domainMin[c]}…${domainMax[c]}, expected finite and rising`,
        { place },
      )
    }
  }
}

/** Index of the first NaN or infinity, or −1. */
export function firstNotFinite(table: ArrayLike<number>): number {
  for (let i = 0; i < table.length; i++) if (!Number.isFinite(table[i])) return i
  return -1
}
