/**
 * The value that would stand at `k` if the values were sorted; they are rearranged. By selection (C. A. R. Hoare,
 * "Algorithm 65: Find", Communications of the ACM 4, 1961) with the median of three as pivot: of thousands of patches
 * only medians are wanted, and to sort their samples would take half the time of reading a chart. The three stand at the
 * quarters, since the distances from a level rise and fall along the rows of a smooth patch, and ends are extremes.
 *
 * Each pass moves every value and steps on by the outcome of a comparison, without a branch: on which side of a median a
 * sample lies is what a processor cannot foresee, and to be wrong costs it more than to move a number.
 *
 * @param values rearranged in place
 * @param k 0 … length − 1
 * @throws RangeError where a NaN is come upon
 */
export function orderStatistic(values: Float64Array, k: number): number {
  let left = 0
  let right = values.length - 1
  while (left < right) {
    const quarter = (right - left) >> 2
    const [a, b, c] = [values[left + quarter]!, values[(left + right) >> 1]!, values[right - quarter]!]
    const pivot = Math.max(Math.min(a, b), Math.min(Math.max(a, b), c))
    let equal = left
    for (let i = left; i <= right; i++) {
      const value = values[i]!
      values[i] = values[equal]!
      values[equal] = value
      equal += Number(value < pivot)
    }
    // All before `equal` are less than the pivot. What equals it comes next, then what is greater.
    if (k < equal) {
      right = equal - 1
      continue
    }
    let greater = equal
    for (let i = equal; i <= right; i++) {
      const value = values[i]!
      values[i] = values[greater]!
      values[greater] = value
      greater += Number(value === pivot)
    }
    if (k < greater) return pivot
    if (greater === left) throw new RangeError('NaN among the values')
    left = greater
  }
  return values[k]!
}
