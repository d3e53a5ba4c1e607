import type { Vec3 } from '@isochip/core'
import { norm, pow } from '@isochip/core'
import { constants } from '../constants.ts'

/** Reference colours bent like the codes of a camera, one set for each kind of encoding. */
export interface ReferenceTones {
  /** n × 3, row by row: R, G, B. */
  readonly tones: Float64Array
  readonly patches: number
  /** What each output goes by: n × 4, row by row. One of `outputs` after the other. */
  readonly designs: readonly Float64Array[]
  /** All designs span the same: a constant and the three channels. An orthonormal basis of it, and how to get back. */
  readonly span: Span | undefined
  /** The colour differences that its patches have. */
  readonly coloured: readonly (typeof differences)[number][]
}

export interface Span {
  /** 4 × n, one vector after the other. */
  readonly basis: Float64Array
  /** Upper triangle of 4 × 4, row by row: [1, R, G, B] = basis · back. */
  readonly back: Float64Array
}

export function referenceTones(colours: readonly Vec3[]): readonly ReferenceTones[] {
  return constants.colour.bends.map((bend) => {
    const tones = Float64Array.from(colours.flat(), (light) => pow(light + constants.colour.flare, bend))
    return {
      tones,
      patches: colours.length,
      designs: outputs.map((mix) => designOf(tones, mix)),
      span: spanOf(tones),
      coloured: coloured(tones, new Uint8Array(colours.length).fill(1)),
    }
  })
}

/** An output goes by its own counterpart first, and by what the others have more than it. */
function designOf(tones: Float64Array, mix: Vec3): Float64Array {
  const n = tones.length / 3
  const rows = new Float64Array(4 * n)
  for (let k = 0; k < n; k++) {
    const r = tones[3 * k]!
    const g = tones[3 * k + 1]!
    const b = tones[3 * k + 2]!
    const own = mixed(mix, r, g, b)
    const beside = isDifference(mix) ? [(r + g + b) / 3, r + b - 2 * g - own] : others(mix, r, g, b, own)
    rows.set([1, own, ...beside], 4 * k)
  }
  return rows
}

/** By Gram and Schmidt; `undefined` where a column is no more than a sum of those before, as on a chart of greys. */
function spanOf(tones: Float64Array): Span | undefined {
  const n = tones.length / 3
  const basis = new Float64Array(4 * n)
  const back = new Float64Array(16)
  for (let j = 0; j < 4; j++) {
    const column = Float64Array.from({ length: n }, (_, k) => (j === 0 ? 1 : tones[3 * k + j - 1]!))
    const before = norm(column)
    for (let i = 0; i < j; i++) {
      let dot = 0
      for (let k = 0; k < n; k++) dot += basis[i * n + k]! * column[k]!
      for (let k = 0; k < n; k++) column[k]! -= dot * basis[i * n + k]!
      back[4 * i + j] = dot
    }
    const length = norm(column)
    if (!(length > 1e-4 * before)) return undefined
    back[4 * j + j] = length
    for (let k = 0; k < n; k++) basis[j * n + k] = column[k]! / length
  }
  return { basis, back }
}

/** The three channels, then red–green and blue–green. */
export const outputs: readonly Vec3[] = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
  [1, -1, 0],
  [0, -1, 1],
]
export const channels = [0, 1, 2] as const
export const differences = [3, 4] as const
export type Output = (typeof channels)[number] | (typeof differences)[number]

export const isDifference = (mix: Vec3) => mix[0] + mix[1] + mix[2] === 0
export const mixed = (mix: Vec3, r: number, g: number, b: number) => mix[0] * r + mix[1] * g + mix[2] * b

/** The two other channels, less the own one. */
function others(mix: Vec3, r: number, g: number, b: number, own: number): readonly [number, number] {
  if (mix[0] === 1) return [g - own, b - own]
  return mix[1] === 1 ? [r - own, b - own] : [r - own, g - own]
}

/** A chart of greys says nothing about colour differences; what the camera shows there is its noise. */
export function coloured(tones: Float64Array, keep: Uint8Array): (typeof differences)[number][] {
  const least = constants.colour.greyChart * spread(tones, keep, grey)
  return differences.filter((output) => !(spread(tones, keep, outputs[output]!) < least))
}

const grey: Vec3 = [1 / 3, 1 / 3, 1 / 3]

/** Variance of an output over the reference's patches. */
export function spread(tones: Float64Array, keep: Uint8Array, mix: Vec3): number {
  let sum = 0
  let square = 0
  let count = 0
  for (let k = 0; k < keep.length; k++) {
    if (keep[k] === 0) continue
    const value = mixed(mix, tones[3 * k]!, tones[3 * k + 1]!, tones[3 * k + 2]!)
    sum += value
    square += value * value
    count++
  }
  return count === 0 ? 0 : square / count - (sum / count) ** 2
}
