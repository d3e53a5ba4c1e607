import { atan2 } from '../elementary/atan2.ts'
import { cos } from '../elementary/cos.ts'
import { exp } from '../elementary/exp.ts'
import { sin } from '../elementary/sin.ts'

const degree = Math.PI / 180
const pow7of25 = 6103515625
const sin30 = 0.5
const cos30 = 0.8660254037844386
const sin6 = 0.10452846326765347
const cos6 = 0.9945218953682733
const sin63 = 0.8910065241883679
const cos63 = 0.4539904997395468

/** Places in the `jet` array that `ciede2000Jet` fills: ∂residual/∂(L, a, b) of the sample; the rest is zero. */
export const jetSize = 5

/**
 * CIEDE2000 (kL = kC = kH = 1) as three signed residuals whose Euclidean norm is ΔE00, in `residuals[at…at+2]`, and
 * their exact derivatives with respect to the sample's L, a, b in
 * `jet[0…4]` = ∂r0/∂L, ∂r1/∂a, ∂r1/∂b, ∂r2/∂a, ∂r2/∂b (the others are zero).
 *
 * ΔE00² = l² + c² + h² + R·c·h with l = ΔL′/S_L and so on is a quadratic form; completing the square in c gives
 * (l, c + R·h/2, h·√(1 − R²/4)). |R| < 2, so the root is real. Two things make these fit for Gauss–Newton:
 * unlike ΔE00 itself they are smooth where the colours meet, which is where a fit ends; and the last two are turned
 * by the angle between (ΔC′, ΔH′) and (Δa′, Δb), which leaves the norm alone but makes them smooth at a neutral
 * reference too, where chroma and hue differences are a polar grid around its pole.
 *
 * After CIE 142-2001 and Sharma, Wu, Dalal, Color Res. Appl. 30 (2005). The first colour is the sample, the second
 * the reference; the norm is symmetric. Units: CIELAB. Every finite input gives finite output.
 */
export function ciede2000Jet(
  L1: number,
  a1: number,
  b1: number,
  L2: number,
  a2: number,
  b2: number,
  residuals: Float64Array,
  at: number,
  jet: Float64Array,
): void {
  const c1 = Math.sqrt(a1 * a1 + b1 * b1)
  const c2 = Math.sqrt(a2 * a2 + b2 * b2)
  if (c1 < 1e-6 && c2 > 1e-6) {
    // The formula's hue difference has a pole in its slope where a sample without chroma meets a reference with
    // chroma. The residuals are taken where they are, their slopes a small step off the pole.
    const step = c1 === 0 ? 1e-30 / c2 : 0
    const slope = 1e-3 / c2
    jetOffPole(L1, slope * a2, slope * b2, L2, a2, b2, residuals, at, jet)
    const slopes = jet.slice()
    jetOffPole(L1, a1 + step * a2, b1 + step * b2, L2, a2, b2, residuals, at, jet)
    jet.set(slopes)
    return
  }
  jetOffPole(L1, a1, b1, L2, a2, b2, residuals, at, jet)
}

function jetOffPole(
  L1: number,
  a1: number,
  b1: number,
  L2: number,
  a2: number,
  b2: number,
  residuals: Float64Array,
  at: number,
  jet: Float64Array,
): void {
  // Lightness stands alone.
  const meanL = (L1 + L2) / 2
  const u = meanL - 50
  const under = 20 + u * u
  const SL = 1 + (0.015 * u * u) / Math.sqrt(under)
  const dSL = (0.5 * 0.015 * u * (u * u + 40)) / (under * Math.sqrt(under))
  residuals[at] = (L1 - L2) / SL
  jet[0] = (1 - ((L1 - L2) * dSL) / SL) / SL

  // a is stretched by the mean chroma. `…_a` and `…_b` are derivatives by the sample's a and b.
  const c1 = Math.sqrt(a1 * a1 + b1 * b1)
  const c2 = Math.sqrt(a2 * a2 + b2 * b2)
  const meanC = (c1 + c2) / 2
  const meanC3 = meanC * meanC * meanC
  const meanC7 = meanC3 * meanC3 * meanC
  const below = meanC7 + pow7of25
  const stretch = 1.5 - 0.5 * Math.sqrt(meanC7 / below)
  const dStretch = (-1.75 * meanC * meanC * Math.sqrt(meanC) * pow7of25) / (below * Math.sqrt(below))
  const meanC_a = c1 === 0 ? 0 : a1 / (2 * c1)
  const meanC_b = c1 === 0 ? 0 : b1 / (2 * c1)
  // Both without chroma: next to none has the same residuals, and a hue.
  const p1 = c1 === 0 ? 1e-12 : a1 * stretch
  const p1_a = stretch + a1 * dStretch * meanC_a
  const p1_b = a1 * dStretch * meanC_b
  const p2 = a2 * stretch
  const p2_a = a2 * dStretch * meanC_a
  const p2_b = a2 * dStretch * meanC_b

  const C1 = Math.sqrt(p1 * p1 + b1 * b1)
  const C2 = Math.sqrt(p2 * p2 + b2 * b2)
  const C1_a = (p1 * p1_a) / C1
  const C1_b = (p1 * p1_b + b1) / C1
  const C2_a = C2 === 0 ? 0 : (p2 * p2_a) / C2
  const C2_b = C2 === 0 ? 0 : (p2 * p2_b) / C2
  const root = Math.sqrt(C1 * C2)

  // Half the hue difference and the mean hue come from the hues' directions: a sine and a cosine each, where hues as angles
  // would take an arc tangent for every colour. A reference without chroma takes the sample's hue.
  const x1 = p1 / C1
  const y1 = b1 / C1
  const x2 = C2 === 0 ? x1 : p2 / C2
  const y2 = C2 === 0 ? y1 : b2 / C2
  const along = x1 * x2 + y1 * y2
  const across = y1 * x2 - x1 * y2
  // From whichever of sum and difference of the two is the longer one.
  let sin2: number
  let cos2: number
  let sin1: number
  let cos1: number
  if (along >= 0) {
    cos2 = Math.sqrt((1 + along) / 2)
    sin2 = across / (2 * cos2)
    cos1 = (x1 + x2) / (2 * cos2)
    sin1 = (y1 + y2) / (2 * cos2)
  } else {
    // Hues exactly opposed get the mean that the published pairs have: that of hues from 0 to 2π.
    const ahead = across === 0 ? y1 < 0 || (y1 === 0 && x1 < 0) : across > 0
    sin2 = (ahead ? 1 : -1) * Math.sqrt((1 - along) / 2)
    cos2 = across / (2 * sin2)
    cos1 = (y1 - y2) / (2 * sin2)
    sin1 = (x2 - x1) / (2 * sin2)
  }
  const h1_a = (-y1 * p1_a) / C1
  const h1_b = (x1 - y1 * p1_b) / C1
  const h2_a = C2 === 0 ? h1_a : (-y2 * p2_a) / C2
  const h2_b = C2 === 0 ? h1_b : (-y2 * p2_b) / C2
  const meanH_a = (h1_a + h2_a) / 2
  const meanH_b = (h1_b + h2_b) / 2
  const dh_a = h1_a - h2_a
  const dh_b = h1_b - h2_b

  const dC = C1 - C2
  const dC_a = C1_a - C2_a
  const dC_b = C1_b - C2_b
  const dH = 2 * root * sin2
  const dH_a = root === 0 ? 0 : (sin2 * (C1_a * C2 + C1 * C2_a)) / root + root * cos2 * dh_a
  const dH_b = root === 0 ? 0 : (sin2 * (C1_b * C2 + C1 * C2_b)) / root + root * cos2 * dh_b

  const meanCp = (C1 + C2) / 2
  const meanCp_a = (C1_a + C2_a) / 2
  const meanCp_b = (C1_b + C2_b) / 2
  const sinM2 = 2 * sin1 * cos1
  const cosM2 = 2 * cos1 * cos1 - 1
  const sinM3 = sinM2 * cos1 + cosM2 * sin1
  const cosM3 = cosM2 * cos1 - sinM2 * sin1
  const sinM4 = 2 * sinM2 * cosM2
  const cosM4 = 2 * cosM2 * cosM2 - 1
  const T =
    1 -
    0.17 * (cos1 * cos30 + sin1 * sin30) +
    0.24 * cosM2 +
    0.32 * (cosM3 * cos6 - sinM3 * sin6) -
    0.2 * (cosM4 * cos63 + sinM4 * sin63)
  const dT =
    0.17 * (sin1 * cos30 - cos1 * sin30) -
    0.48 * sinM2 -
    0.96 * (sinM3 * cos6 + cosM3 * sin6) +
    0.8 * (sinM4 * cos63 - cosM4 * sin63)
  const SC = 1 + 0.045 * meanCp
  const SH = 1 + 0.015 * meanCp * T
  const SH_a = 0.015 * (meanCp_a * T + meanCp * dT * meanH_a)
  const SH_b = 0.015 * (meanCp_b * T + meanCp * dT * meanH_b)

  const bell = (hue(sin1, cos1) / degree - 275) / 25
  const meanCp3 = meanCp * meanCp * meanCp
  const meanCp7 = meanCp3 * meanCp3 * meanCp
  let R = 0
  let R_C = 0
  let R_H = 0
  // Away from the blues the rotation term is below rounding.
  if (bell * bell < 40) {
    const turn = 60 * degree * exp(-bell * bell)
    const belowP = meanCp7 + pow7of25
    const RC = 2 * Math.sqrt(meanCp7 / belowP)
    const dRC = (7 * meanCp * meanCp * Math.sqrt(meanCp) * pow7of25) / (belowP * Math.sqrt(belowP))
    const sinTurn = sin(turn)
    R = -RC * sinTurn
    R_C = -dRC * sinTurn
    R_H = (RC * cos(turn) * turn * 2 * bell) / (25 * degree)
  }
  const R_a = R_C * meanCp_a + R_H * meanH_a
  const R_b = R_C * meanCp_b + R_H * meanH_b

  const c = dC / SC
  const c_a = (dC_a - c * 0.045 * meanCp_a) / SC
  const c_b = (dC_b - c * 0.045 * meanCp_b) / SC
  const h = dH / SH
  const h_a = (dH_a - h * SH_a) / SH
  const h_b = (dH_b - h * SH_b) / SH
  const leg = Math.sqrt(1 - (R * R) / 4)
  const q1 = c + (R / 2) * h
  const q1_a = c_a + (R_a * h + R * h_a) / 2
  const q1_b = c_b + (R_b * h + R * h_b) / 2
  const q2 = h * leg
  const q2_a = h_a * leg - (h * R * R_a) / (4 * leg)
  const q2_b = h_b * leg - (h * R * R_b) / (4 * leg)

  // The angle that turns (ΔC′, ΔH′) into (Δa′, Δb): the mean hue, and a correction that is small unless one chroma
  // is much smaller than the other.
  const turnedX = dC * cos2
  const turnedY = (C1 + C2) * sin2
  const turnedX_a = dC_a * cos2 - (dC * sin2 * dh_a) / 2
  const turnedX_b = dC_b * cos2 - (dC * sin2 * dh_b) / 2
  const turnedY_a = (C1_a + C2_a) * sin2 + ((C1 + C2) * cos2 * dh_a) / 2
  const turnedY_b = (C1_b + C2_b) * sin2 + ((C1 + C2) * cos2 * dh_b) / 2
  const size1 = turnedX * turnedX + turnedY * turnedY
  const size2 = dC * dC + dH * dH
  let cosTurn = cos1
  let sinTurn = sin1
  let angle_a = meanH_a
  let angle_b = meanH_b
  if (size1 > 1e-18 && size2 > 1e-18) {
    const size = Math.sqrt(size1 * size2)
    const cosD = (turnedX * dC + turnedY * dH) / size
    const sinD = (turnedY * dC - turnedX * dH) / size
    cosTurn = cos1 * cosD - sin1 * sinD
    sinTurn = sin1 * cosD + cos1 * sinD
    angle_a += (turnedX * turnedY_a - turnedY * turnedX_a) / size1 - (dC * dH_a - dH * dC_a) / size2
    angle_b += (turnedX * turnedY_b - turnedY * turnedX_b) / size1 - (dC * dH_b - dH * dC_b) / size2
  }
  const r1 = q1 * cosTurn - q2 * sinTurn
  const r2 = q1 * sinTurn + q2 * cosTurn
  residuals[at + 1] = r1
  residuals[at + 2] = r2
  jet[1] = q1_a * cosTurn - q2_a * sinTurn - r2 * angle_a
  jet[2] = q1_b * cosTurn - q2_b * sinTurn - r2 * angle_b
  jet[3] = q1_a * sinTurn + q2_a * cosTurn + r1 * angle_a
  jet[4] = q1_b * sinTurn + q2_b * cosTurn + r1 * angle_b
}

function hue(b: number, a: number): number {
  const angle = atan2(b, a)
  return angle < 0 ? angle + 2 * Math.PI : angle
}
