import { cbrt } from '../elementary/cbrt.ts'
import type { Mat3, Vec3 } from '../linear/mat3.ts'
import { illuminantWhites, xyzFromXy } from './illuminants.ts'

/** CIELAB relative to D65. Not D50: nothing in the project uses Lab relative to any other white. */
export type Lab65 = Vec3

/** XYZ of D65 with Y = 1. */
export const white65 = xyzFromXy(illuminantWhites.D65)

// CIE 15:2018, section 8.2.1: the break and the slope of the linear piece as exact fractions.
const epsilon = 216 / 24389
const slope = 841 / 108

/** CIELAB's function of one tristimulus value over the white's. */
export const labF = (t: number): number => (t > epsilon ? cbrt(t) : slope * t + 4 / 29)

/** Its derivative. @param f `labF(t)` */
export const labFSlope = (t: number, f: number): number => (t > epsilon ? 1 / (3 * f * f) : slope)

/** XYZ (Y = 1 for a perfect diffuse white, adapted to D65) → CIELAB D65. Light below zero runs on along the toe. */
export function labFromXyz65(xyz: Vec3): Lab65 {
  const fx = labF(xyz[0] / white65[0])
  const fy = labF(xyz[1] / white65[1])
  const fz = labF(xyz[2] / white65[2])
  return [116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)]
}

/** ∂(L*, a*, b*)/∂(X, Y, Z) of `labFromXyz65`. */
export function labSlope(xyz: Vec3): Mat3 {
  const by = (c: 0 | 1 | 2) => {
    const t = xyz[c] / white65[c]
    return labFSlope(t, labF(t)) / white65[c]
  }
  const [x, y, z] = [by(0), by(1), by(2)]
  return [
    [0, 116 * y, 0],
    [500 * x, -500 * y, 0],
    [0, 200 * y, -200 * z],
  ]
}

/** CIELAB relative to any white → XYZ relative to that white (Y of the white = 1). CIE 15:2018, annex C.3. */
export function xyzFromLab(lab: Vec3, labWhite: Vec3): Vec3 {
  const fy = (lab[0] + 16) / 116
  const inverse = (f: number) => (f > 6 / 29 ? f * f * f : (f - 4 / 29) / slope)
  return [
    inverse(fy + lab[1] / 500) * labWhite[0],
    inverse(fy) * labWhite[1],
    inverse(fy - lab[2] / 200) * labWhite[2],
  ]
}
