/** Euclidean norm of any number of values, of ordinary size: none whose square is out of a double's range. */
export function norm(values: ArrayLike<number>): number {
  let square = 0
  for (let i = 0; i < values.length; i++) square += values[i]! * values[i]!
  return Math.sqrt(square)
}
