import { hypot } from '../elementary/hypot.ts'
import type { Xy } from './illuminants.ts'

/** Correlated colour temperature and the distance from the Planckian locus. */
export interface Temperature {
  /** 10⁶ / kelvin. */
  readonly mired: number
  /** Distance from the locus in CIE 1960 u, v; positive above it (greenish). ANSI C78.377. */
  readonly duv: number
}

/**
 * The Planckian locus in CIE 1960 u, v by M. Krystek, An algorithm to calculate correlated colour temperature,
 * Color Res. Appl. 10 (1985) 38–40; good to about 10⁻⁴ between 1000 K and 15 000 K.
 */
function locus(kelvin: number): readonly [u: number, v: number] {
  const t = kelvin
  return [
    (0.860117757 + 1.54118254e-4 * t + 1.28641212e-7 * t * t) /
      (1 + 8.42420235e-4 * t + 7.08145163e-7 * t * t),
    (0.317398726 + 4.22806245e-5 * t + 4.20481691e-8 * t * t) /
      (1 - 2.89741816e-5 * t + 1.61456053e-7 * t * t),
  ]
}

/** The nearest point of the locus between 10 and 1000 mired, which is what correlated colour temperature means. */
export function temperatureOf([x, y]: Xy): Temperature {
  const u = (4 * x) / (-2 * x + 12 * y + 3)
  const v = (6 * y) / (-2 * x + 12 * y + 3)
  const distance = (mired: number) => {
    const [lu, lv] = locus(1e6 / mired)
    return hypot(u - lu, v - lv)
  }
  // The distance has one minimum for colours near the locus; golden-section search finds it.
  const golden = (Math.sqrt(5) - 1) / 2
  let low = 10
  let high = 1000
  while (high - low > 1e-7) {
    const a = high - golden * (high - low)
    const b = low + golden * (high - low)
    if (distance(a) < distance(b)) high = b
    else low = a
  }
  const mired = (low + high) / 2
  const [lu, lv] = locus(1e6 / mired)
  return { mired, duv: Math.sign(v - lv) * hypot(u - lu, v - lv) }
}
