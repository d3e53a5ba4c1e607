import { atan2 } from '../elementary/atan2.ts'
import { exp } from '../elementary/exp.ts'
import { sin } from '../elementary/sin.ts'
import type { Lab65 } from './lab.ts'

const degree = Math.PI / 180

/**
 * CIEDE2000 colour difference (kL = kC = kH = 1) between two CIELAB colours, after CIE 142-2001 and Sharma, Wu, Dalal,
 * Color Res. Appl. 30 (2005). Symmetric; every finite input gives a finite number from 0 up.
 *
 * Half the hue difference and the mean hue are taken from the chroma vectors themselves, without their angles: that
 * keeps all digits of small differences. `ciede2000Jet` has the same figure as a sum of residuals with slopes.
 */
export function deltaE00([L1, a1, b1]: Lab65, [L2, a2, b2]: Lab65): number {
  const stretch = 1.5 - chromaShare((Math.sqrt(a1 * a1 + b1 * b1) + Math.sqrt(a2 * a2 + b2 * b2)) / 2) / 2
  const x1 = a1 * stretch
  const x2 = a2 * stretch
  const C1 = Math.sqrt(x1 * x1 + b1 * b1)
  const C2 = Math.sqrt(x2 * x2 + b2 * b2)
  const both = C1 * C2
  const along = x1 * x2 + b1 * b2
  const across = b1 * x2 - x1 * b2
  const opposed = along < 0

  // 2·√(C1·C2)·sin(Δh/2), the sign in `across`, and a vector that points to the mean hue. A colour without chroma has the
  // other's hue. Hues that differ by 180° exactly have the mean that lies a quarter turn on from the smaller of the two.
  let dH = 0
  let x = x1 + x2
  let y = b1 + b2
  if (both > 0) {
    dH = opposed
      ? Math.sqrt(2 * (both - along)) * (across < 0 ? -1 : 1)
      : across * Math.sqrt(2 / (both + along))
    const side = opposed ? (across === 0 ? b1 > 0 || (b1 === 0 && x1 > 0) : across < 0) : false
    const turned = side ? 1 : -1
    x = opposed ? turned * (b2 / C2 - b1 / C1) : x1 / C1 + x2 / C2
    y = opposed ? turned * (x1 / C1 - x2 / C2) : b1 / C1 + b2 / C2
  }
  const long = Math.sqrt(x * x + y * y)
  const cos1 = long > 0 ? x / long : 1
  const sin1 = long > 0 ? y / long : 0
  const cos2 = 2 * cos1 * cos1 - 1
  const sin2 = 2 * sin1 * cos1
  const T =
    1 -
    0.17 * (cos1 * 0.8660254037844386 + sin1 * 0.5) +
    0.24 * cos2 +
    0.32 *
      ((cos2 * cos1 - sin2 * sin1) * 0.9945218953682733 - (sin2 * cos1 + cos2 * sin1) * 0.10452846326765347) -
    0.2 * ((2 * cos2 * cos2 - 1) * 0.4539904997395468 + 2 * sin2 * cos2 * 0.8910065241883679)

  const meanC = (C1 + C2) / 2
  const hue = atan2(sin1, cos1) / degree
  const bell = ((hue < 0 ? hue + 360 : hue) - 275) / 25
  const R = -2 * chromaShare(meanC) * sin(60 * degree * exp(-bell * bell))
  const u = (L1 + L2) / 2 - 50
  const l = (L1 - L2) / (1 + (0.015 * u * u) / Math.sqrt(20 + u * u))
  const c = (C1 - C2) / (1 + 0.045 * meanC)
  const h = dH / (1 + 0.015 * meanC * T)
  // Never below 0 but by rounding, since |R| < 2.
  return Math.sqrt(Math.max(0, l * l + c * c + h * h + R * c * h))
}

/** √(C⁷ / (C⁷ + 25⁷)), without overflow. */
function chromaShare(C: number): number {
  const r = C > 0 ? 25 / C : 1e44
  const r3 = r * r * r
  return 1 / Math.sqrt(1 + r3 * r3 * r)
}
