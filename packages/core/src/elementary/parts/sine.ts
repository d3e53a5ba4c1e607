/**
 * sin(x + turns·π/2). The nearest multiple of π/2 is taken off in three pieces of 33 bits, the rest by the polynomials of
 * fdlibm's `k_sin.c` and `k_cos.c`, in error by less than 2^-58 (Sun Microsystems, 1993).
 *
 * @param x radians, up to 1e5 either way
 */
export function sine(x: number, turns: 0 | 1): number {
  if (x <= Math.PI / 4 && x >= -Math.PI / 4) return turns === 0 ? sineSeries(x, 0) : cosineSeries(x, 0)
  const n = Math.floor(x * 0.6366197723675814 + 0.5)
  const first = x - n * 1.5707963267341256
  const second = n * 6.077100506303966e-11
  const r = first - second
  const w = n * 2.0222662487959506e-21 - (first - r - second)
  const angle = r - w
  const rest = r - angle - w
  const quadrant = n + turns
  const value = (quadrant & 1) === 0 ? sineSeries(angle, rest) : cosineSeries(angle, rest)
  return (quadrant & 2) === 0 ? value : -value
}

function sineSeries(x: number, rest: number): number {
  const z = x * x
  const v = z * x
  const r =
    0.00833333333332249 +
    z *
      (-0.0001984126982985795 +
        z * (2.7557313707070068e-6 + z * (-2.5050760253406863e-8 + z * 1.58969099521155e-10)))
  return x - (z * (0.5 * rest - v * r) - rest - v * -0.16666666666666632)
}

function cosineSeries(x: number, rest: number): number {
  const z = x * x
  const w = z * z
  const r =
    z * (0.0416666666666666 + z * (-0.001388888888887411 + z * 0.00002480158728947673)) +
    w * w * (-2.7557314351390663e-7 + z * (2.087572321298175e-9 + z * -1.1359647557788195e-11))
  const half = 0.5 * z
  const near = 1 - half
  return near + (1 - near - half + (z * r - x * rest))
}
