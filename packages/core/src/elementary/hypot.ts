/** √(x² + y² + z²) within 2 ulp, without overflow or underflow on the way. */
export function hypot(x: number, y: number, z = 0): number {
  const square = x * x + y * y + z * z
  if (square > 1e-280 && square < 1e300) return Math.sqrt(square)
  const most = Math.max(Math.abs(x), Math.abs(y), Math.abs(z))
  if (!(most > 0 && most < Number.POSITIVE_INFINITY)) {
    const infinite = [x, y, z].some((part) => Math.abs(part) === Number.POSITIVE_INFINITY)
    return infinite ? Number.POSITIVE_INFINITY : most
  }
  return most * Math.sqrt((x / most) * (x / most) + (y / most) * (y / most) + (z / most) * (z / most))
}
