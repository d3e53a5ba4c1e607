import { exp } from '../../elementary/exp.ts'
import { exp2 } from '../../elementary/exp2.ts'
import { pow } from '../../elementary/pow.ts'
import { type Encoding, resolveTransfer } from '../../encoding/encoding.ts'
import { diagonal3, invert3, type Mat3, multiply3, type Vec3 } from '../../linear/mat3.ts'
import { flareAt, gammaAt } from '../controls.ts'

/**
 * What a turn makes of a signal. A camera is taken to be: light · iris · gains of red and blue → all matrices that
 * stand after the gains (`afterGains`, rows sum to 1) → curve → pedestal. Its light L before a turn becomes
 * (I + Δ) · B · diag(g·2^e) · B⁻¹ · L, to which a turn of the flare control adds and which one of gamma bends; the pedestal is added to the signal. With `afterGains` the identity the gains stand
 * after all matrices.
 */
export interface Chain {
  readonly afterGains: Mat3
  /** In the signal, as a fraction of the nominal range. */
  readonly pedestal: ArrayLike<number>
}

/** The curve of an encoding, channel by channel. */
export interface Curve {
  decode(code: number, channel: 0 | 1 | 2): number
  encode(light: number, channel: 0 | 1 | 2): number
  /** How much of the signal its pedestal may be: standard deviation, as a fraction. */
  readonly pedestalSpread: number
}

/** A pedestal is hardly ever more than this, as a fraction of the signal: common practice, no source. */
const pedestalSpread = 0.03
/** As good as none: light and log recordings have no such control, and on log curves it would pass for exposure. */
const noPedestal = 1e-6
const withPedestal = ['bt709', 'bt2020', 'bt1886', 'srgb']

/** @param encoding a video curve, by name, by power or as a table, may have a pedestal; others have none. */
export function curveOf(encoding: Encoding): Curve {
  const { transfer } = encoding.spec
  const video =
    typeof transfer === 'string'
      ? withPedestal.includes(transfer)
      : 'power' in transfer || 'table' in transfer
  return { ...resolveTransfer(transfer), pedestalSpread: video ? pedestalSpread : noPedestal }
}

/** A pedestal before the curve is hardly ever more than this, as a share of white: common practice, no source. */
const lightSpread = 0.01

/** Where the pedestal is added to the light: what is taken for the signal is the light itself. */
export const lightCurve: Curve = {
  decode: (light) => light,
  encode: (light) => light,
  pedestalSpread: lightSpread,
}

/** Has a camera with this curve a pedestal to be turned? */
export const hasPedestal = (curve: Curve): boolean => curve.pedestalSpread > noPedestal

/** I + Δ of a turn's six terms. */
export function matrixOfTerms(u: ArrayLike<number>): Mat3 {
  const [rg, rb, gr, gb, br, bg] = [u[3]!, u[4]!, u[5]!, u[6]!, u[7]!, u[8]!]
  return [
    [1 - rg - rb, rg, rb],
    [gr, 1 - gr - gb, gb],
    [br, bg, 1 - br - bg],
  ]
}

/** The six terms of a matrix, in their order. */
export const termsOfMatrix = (m: Mat3): number[] => [m[0][1], m[0][2], m[1][0], m[1][2], m[2][0], m[2][1]]

/** The matrix on light that a turn comes to; undefined where `afterGains` has no inverse. */
function lightMatrix(afterGains: Mat3, u: ArrayLike<number>): Mat3 | undefined {
  const inverse = invert3(afterGains)
  if (inverse === undefined) return undefined
  return multiply3(matrixOfTerms(u), multiply3(multiply3(afterGains, diagonal3(gainsOf(u))), inverse))
}

/** Factors on the light of red, green and blue, that iris and gains come to. */
export function gainsOf(u: ArrayLike<number>): Vec3 {
  const level = exp2(u[0]!)
  return [level * exp(u[1]!), level, level * exp(u[2]!)]
}

/** The matrix on light that a turn comes to, with its derivatives by the turn's first nine numbers. */
export interface TurnedMatrix {
  readonly matrix: Mat3
  readonly slopes: readonly Mat3[]
}

/** Undefined where `afterGains` has no inverse. */
export function turnedMatrix(afterGains: Mat3, u: ArrayLike<number>): TurnedMatrix | undefined {
  const inverse = invert3(afterGains)
  if (inverse === undefined) return undefined
  const own = matrixOfTerms(u)
  const gains = gainsOf(u)
  const balancedBy = (g: Vec3) => multiply3(multiply3(afterGains, diagonal3(g)), inverse)
  const balanced = balancedBy(gains)
  const matrix = multiply3(own, balanced)
  const byTerm = (i: 0 | 1 | 2, k: 0 | 1 | 2): Mat3 => {
    const row = (r: 0 | 1 | 2): Vec3 => {
      const at = (c: 0 | 1 | 2) => (r === i ? balanced[k][c] - balanced[i][c] : 0)
      return [at(0), at(1), at(2)]
    }
    return [row(0), row(1), row(2)]
  }
  const louder = ([x, y, z]: Vec3): Vec3 => [x * Math.LN2, y * Math.LN2, z * Math.LN2]
  return {
    matrix,
    slopes: [
      [louder(matrix[0]), louder(matrix[1]), louder(matrix[2])],
      multiply3(own, balancedBy([gains[0], 0, 0])),
      multiply3(own, balancedBy([0, 0, gains[2]])),
      byTerm(0, 1),
      byTerm(0, 2),
      byTerm(1, 0),
      byTerm(1, 2),
      byTerm(2, 0),
      byTerm(2, 1),
    ],
  }
}

/** What a turn of flare and gamma makes of light that stands before the curve. */
export function bendOf(u: ArrayLike<number>): (light: number) => number {
  const [flare, gamma] = [u[flareAt] ?? 0, u[gammaAt] ?? 0]
  if (gamma === 0) return flare === 0 ? (light) => light : (light) => light + flare
  const power = exp(gamma)
  return (light) => bent(light + flare, power)
}

/** Its slope. */
export function bendSlope(u: ArrayLike<number>, light: number): number {
  const [flare, gamma] = [u[flareAt] ?? 0, u[gammaAt] ?? 0]
  if (gamma === 0) return 1
  const power = exp(gamma)
  return power * pow(Math.max(Math.abs(light + flare), 1e-6), power - 1)
}

/** A power that goes on below nothing. */
const bent = (light: number, power: number): number => Math.sign(light) * pow(Math.abs(light), power)

/**
 * The signal after a turn. False where the chain has no inverse.
 *
 * @param signal three code values per patch, fractions of the nominal range; `out` likewise.
 */
export function turnSignal(
  curve: Curve,
  signal: Float64Array,
  chain: Chain,
  u: ArrayLike<number>,
  out: Float64Array,
): boolean {
  const m = lightMatrix(chain.afterGains, u)
  if (m === undefined) return false
  const [p0, p1, p2] = [chain.pedestal[0]!, chain.pedestal[1]!, chain.pedestal[2]!]
  const [[a, b, c], [d, e, f], [g, h, i]] = m
  const bend = bendOf(u)
  for (let p = 0; p < signal.length; p += 3) {
    const r = curve.decode(signal[p]! - p0, 0)
    const s = curve.decode(signal[p + 1]! - p1, 1)
    const t = curve.decode(signal[p + 2]! - p2, 2)
    out[p] = curve.encode(bend(a * r + b * s + c * t), 0) + p0 + u[9]!
    out[p + 1] = curve.encode(bend(d * r + e * s + f * t), 1) + p1 + u[10]!
    out[p + 2] = curve.encode(bend(g * r + h * s + i * t), 2) + p2 + u[11]!
  }
  return true
}
