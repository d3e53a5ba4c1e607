/** 2^n at `n + 1022`, for n from −1022 to 1023: every power that is a normal double. */
export const powersOfTwo: Float64Array = allPowers()

function allPowers(): Float64Array {
  const powers = new Float64Array(2046)
  powers[0] = 2.2250738585072014e-308
  for (let i = 1; i < powers.length; i++) powers[i] = 2 * powers[i - 1]!
  return powers
}
