import { exp } from '../elementary/exp.ts'
import { ln } from '../elementary/ln.ts'
import type { Transfer } from './transfer.ts'

// ITU-R BT.2100-2, table 5: the hybrid log-gamma OETF.
const a = 0.17883277
const b = 1 - 4 * a
const c = 0.5 - a * ln(4 * a)

/** Scene light 0…1 → HLG signal 0…1. */
function oetf(scene: number): number {
  const e = Math.abs(scene)
  return Math.sign(scene) * (e <= 1 / 12 ? Math.sqrt(3 * e) : a * ln(12 * e - b) + c)
}

/** HLG signal 0…1 → scene light 0…1. */
function inverseOetf(signal: number): number {
  const v = Math.abs(signal)
  return Math.sign(signal) * (v <= 0.5 ? (v * v) / 3 : (exp((v - c) / a) + b) / 12)
}

/** A diffuse white sits at 75 % HLG: ITU-R BT.2408, section 2.1. */
const diffuseWhite = inverseOetf(0.75)

/** HLG, relative to the diffuse white at 75 % signal. Scene light. */
export const hlg: Transfer = {
  channelsAlike: true,
  decode: (code) => inverseOetf(code) / diffuseWhite,
  encode: (light) => oetf(light * diffuseWhite),
}
