import { oneOf } from '../checkOptions.ts'
import { quickPow } from '../elementary/quickPow.ts'
import { bt709 } from '../encoding/bt709.ts'
import type { Mat3, Vec3 } from '../linear/mat3.ts'
import { type Lab65, labF, labFSlope, white65 } from './lab.ts'
import type { Primaries } from './primaries.ts'
import { rgbToXyz65 } from './working.ts'

/**
 * From linear light in the working primaries to CIELAB D65 with exact derivatives: of the scene's light as it is, or
 * of the light that a reference display shows of it (BT.709-6 OETF, then BT.1886 with a black of zero).
 */
export interface Viewing {
  readonly view: 'scene' | 'display'
  /** Working RGB → XYZ, each row divided by the white's. */
  readonly relativeXyz: Mat3
}

/** @param working primaries of the light to be viewed; a white other than D65 is adapted (Bradford). */
export function viewing(working: Primaries, view: 'scene' | 'display'): Viewing {
  const m = rgbToXyz65(working)
  const row = (i: 0 | 1 | 2): Vec3 => [m[i][0] / white65[i], m[i][1] / white65[i], m[i][2] / white65[i]]
  return { view, relativeXyz: [row(0), row(1), row(2)] }
}

/** What a BT.1886 display makes of scene light that BT.709 encodes: the system's rendering, channel by channel. */
function displayed(light: number): number {
  return quickPow(Math.max(bt709.encode(light, 0), 0), 2.4)
}

function displayedSlope(light: number): number {
  const code = bt709.encode(light, 0)
  if (code <= 0) return 0
  const slope = light < 0.018 ? 4.5 : 1.099 * 0.45 * quickPow(light, -0.55)
  return 2.4 * quickPow(code, 1.4) * slope
}

export const viewCheck = oneOf(['scene', 'display'])

/** A function from linear light in the working primaries to CIELAB D65: of the scene, or as a display shows it. @throws IsochipError `usage` */
export function labOfView(working: Primaries, view: 'scene' | 'display'): (rgb: Vec3) => Lab65 {
  viewCheck(view, 'view')
  return labSeenBy(viewing(working, view))
}

/** The same for a viewing transform at hand. */
export function labSeenBy(viewing: Viewing): (rgb: Vec3) => Lab65 {
  return ([r, g, b]) => {
    const lab = new Float64Array(3)
    viewLab(viewing, r, g, b, lab)
    return [lab[0]!, lab[1]!, lab[2]!]
  }
}

/** Lab of one colour into `lab[0…2]`. */
export function viewLab(viewing: Viewing, r: number, g: number, b: number, lab: Float64Array): void {
  const display = viewing.view === 'display'
  const x = display ? displayed(r) : r
  const y = display ? displayed(g) : g
  const z = display ? displayed(b) : b
  const { relativeXyz } = viewing
  const byX = relativeXyz[0]
  const byY = relativeXyz[1]
  const byZ = relativeXyz[2]
  const fx = labF(byX[0] * x + byX[1] * y + byX[2] * z)
  const fy = labF(byY[0] * x + byY[1] * y + byY[2] * z)
  const fz = labF(byZ[0] * x + byZ[1] * y + byZ[2] * z)
  lab[0] = 116 * fy - 16
  lab[1] = 500 * (fx - fy)
  lab[2] = 200 * (fy - fz)
}

/** Lab into `lab[0…2]` and ∂Lab/∂(r, g, b), row-major, into `slope[0…8]`. */
export function viewLabSlope(
  viewing: Viewing,
  r: number,
  g: number,
  b: number,
  lab: Float64Array,
  slope: Float64Array,
): void {
  const display = viewing.view === 'display'
  const x = display ? displayed(r) : r
  const y = display ? displayed(g) : g
  const z = display ? displayed(b) : b
  const { relativeXyz } = viewing
  const byX = relativeXyz[0]
  const byY = relativeXyz[1]
  const byZ = relativeXyz[2]
  const tx = byX[0] * x + byX[1] * y + byX[2] * z
  const ty = byY[0] * x + byY[1] * y + byY[2] * z
  const tz = byZ[0] * x + byZ[1] * y + byZ[2] * z
  const fx = labF(tx)
  const fy = labF(ty)
  const fz = labF(tz)
  lab[0] = 116 * fy - 16
  lab[1] = 500 * (fx - fy)
  lab[2] = 200 * (fy - fz)
  const dx = labFSlope(tx, fx)
  const dy = labFSlope(ty, fy)
  const dz = labFSlope(tz, fz)
  for (let c = 0; c < 3; c++) {
    const sy = dy * byY[c]!
    slope[c] = 116 * sy
    slope[3 + c] = 500 * (dx * byX[c]! - sy)
    slope[6 + c] = 200 * (sy - dz * byZ[c]!)
  }
  if (!display) return
  const tones = [displayedSlope(r), displayedSlope(g), displayedSlope(b)]
  for (let i = 0; i < 9; i++) slope[i]! *= tones[i % 3]!
}
