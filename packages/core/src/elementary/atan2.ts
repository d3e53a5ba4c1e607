/**
 * Angle of the point (x, y), −π…π, within 1 ulp but for the last bits of the smallest numbers there are; signed zeros and
 * infinities as in ECMA-262. After fdlibm's `e_atan2.c` and `s_atan.c` (Sun Microsystems, 1993).
 */
export function atan2(y: number, x: number): number {
  if (Number.isNaN(x) || Number.isNaN(y)) return Number.NaN
  const left = x < 0 || Object.is(x, -0)
  const across = Math.abs(x)
  const up = Math.abs(y)
  let angle: number
  if (up === 0) angle = left ? Math.PI : 0
  else if (across === 0) angle = Math.PI / 2
  else if (up === Number.POSITIVE_INFINITY && across === Number.POSITIVE_INFINITY)
    angle = left ? 3 * (Math.PI / 4) : Math.PI / 4
  else {
    angle = atan(up / across)
    // π less the angle, with what π lacks as a double.
    if (left) angle = Math.PI - (angle - 1.2246467991473532e-16)
  }
  return y < 0 || Object.is(y, -0) ? -angle : angle
}

/** Arc tangent of 0 or more: about 0, ½, 1, 1½ or ∞, whose arc tangents are known to twice the digits. */
function atan(x: number): number {
  if (x < 0.4375) return x - series(x)
  if (x < 0.6875) return about((2 * x - 1) / (2 + x), 0.4636476090008061, 2.2698777452961687e-17)
  if (x < 1.1875) return about((x - 1) / (x + 1), 0.7853981633974483, 3.061616997868383e-17)
  if (x < 2.4375) return about((x - 1.5) / (1 + 1.5 * x), 0.982793723247329, 1.3903311031230998e-17)
  return about(-1 / x, 1.5707963267948966, 6.123233995736766e-17)
}

function about(x: number, angle: number, rest: number): number {
  return angle - (series(x) - rest - x)
}

/** x − arctan x for |x| < 0.44. */
function series(x: number): number {
  const z = x * x
  const w = z * z
  const odd =
    z *
    (0.3333333333333293 +
      w *
        (0.14285714272503466 +
          w *
            (0.09090887133436507 +
              w * (0.06661073137387531 + w * (0.049768779946159324 + w * 0.016285820115365782)))))
  const even =
    w *
    (-0.19999999999876483 +
      w *
        (-0.11111110405462356 +
          w * (-0.0769187620504483 + w * (-0.058335701337905735 + w * -0.036531572744216916))))
  return x * (odd + even)
}
