/** outer·inner of 3×3 matrices, row-major, into `out[at…at+8]`. */
export function chainSlopes(outer: Float64Array, inner: Float64Array, out: Float64Array, at: number): void {
  for (let row = 0; row < 3; row++) {
    for (let c = 0; c < 3; c++) {
      out[at + 3 * row + c] =
        outer[3 * row]! * inner[c]! +
        outer[3 * row + 1]! * inner[3 + c]! +
        outer[3 * row + 2]! * inner[6 + c]!
    }
  }
}
