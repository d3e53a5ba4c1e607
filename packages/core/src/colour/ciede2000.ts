import type { Lab65 } from './lab.ts'

const degree = Math.PI / 180
const pow7of25 = 25 ** 7

/**
 * CIEDE2000 as three signed residuals whose Euclidean norm is ΔE00 (kL = kC = kH = 1), written to `out[at…at+2]`.
 *
 * ΔE00² = l² + c² + h² + R·c·h with l = ΔL′/S_L and so on is a quadratic form; completing the square in c gives
 * (l, c + R·h/2, h·√(1 − R²/4)). |R| < 2, so the root is real. Unlike ΔE00 itself the residuals are smooth where
 * the two colours meet, which is where a fit ends.
 *
 * The first colour is the sample, the second the reference; the norm is symmetric. After CIE 142-2001 and Sharma,
 * Wu, Dalal, Color Res. Appl. 30 (2005).
 */
export function ciede2000Residuals(
  L1: number,
  a1: number,
  b1: number,
  L2: number,
  a2: number,
  b2: number,
  out: Float64Array,
  at: number,
): void {
  const meanC = (Math.sqrt(a1 * a1 + b1 * b1) + Math.sqrt(a2 * a2 + b2 * b2)) / 2
  const meanC7 = meanC ** 7
  const stretch = 1.5 - 0.5 * Math.sqrt(meanC7 / (meanC7 + pow7of25))
  const p1 = a1 * stretch
  const p2 = a2 * stretch
  const C1 = Math.sqrt(p1 * p1 + b1 * b1)
  const C2 = Math.sqrt(p2 * p2 + b2 * b2)
  const product = C1 * C2

  let h1 = C1 === 0 ? 0 : Math.atan2(b1, p1)
  let h2 = C2 === 0 ? 0 : Math.atan2(b2, p2)
  if (h1 < 0) h1 += 2 * Math.PI
  if (h2 < 0) h2 += 2 * Math.PI
  let dh = h1 - h2
  let meanH = (h1 + h2) / 2
  if (product === 0) {
    dh = 0
    meanH = h1 + h2
  } else if (Math.abs(dh) > Math.PI) {
    dh += dh > 0 ? -2 * Math.PI : 2 * Math.PI
    meanH += meanH < Math.PI ? Math.PI : -Math.PI
  }
  const dH = 2 * Math.sqrt(product) * Math.sin(dh / 2)
  const meanL = (L1 + L2) / 2
  const meanCp = (C1 + C2) / 2

  const T =
    1 -
    0.17 * Math.cos(meanH - 30 * degree) +
    0.24 * Math.cos(2 * meanH) +
    0.32 * Math.cos(3 * meanH + 6 * degree) -
    0.2 * Math.cos(4 * meanH - 63 * degree)
  const l50 = (meanL - 50) ** 2
  const SL = 1 + (0.015 * l50) / Math.sqrt(20 + l50)
  const SC = 1 + 0.045 * meanCp
  const SH = 1 + 0.015 * meanCp * T
  const bell = (meanH / degree - 275) / 25
  const turn = 60 * degree * Math.exp(-bell * bell)
  const meanCp7 = meanCp ** 7
  const R = -2 * Math.sqrt(meanCp7 / (meanCp7 + pow7of25)) * Math.sin(turn)

  const h = dH / SH
  out[at] = (L1 - L2) / SL
  out[at + 1] = (C1 - C2) / SC + (R / 2) * h
  out[at + 2] = h * Math.sqrt(1 - (R * R) / 4)
}

const scratch = new Float64Array(3)

/** CIEDE2000 colour difference (kL = kC = kH = 1) between two CIELAB colours. */
export function deltaE00(sample: Lab65, reference: Lab65): number {
  ciede2000Residuals(sample[0], sample[1], sample[2], reference[0], reference[1], reference[2], scratch, 0)
  return Math.hypot(scratch[0]!, scratch[1]!, scratch[2]!)
}
