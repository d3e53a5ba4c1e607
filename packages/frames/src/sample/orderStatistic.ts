/**
 * The value that would stand at `k` if the values were sorted; they are rearranged. By Hoare's selection (C. A. R.
 * Hoare, "Algorithm 65: Find", Communications of the ACM 4, 1961): of thousands of patches only medians are wanted,
 * and to sort their samples would take half the time of reading a chart.
 *
 * @param values no NaN; rearranged in place
 * @param k 0 … length − 1
 */
export function orderStatistic(values: Float64Array, k: number): number {
  let left = 0
  let right = values.length - 1
  while (left < right) {
    const pivot = values[(left + right) >> 1]!
    let i = left
    let j = right
    while (i <= j) {
      while (values[i]! < pivot) i++
      while (values[j]! > pivot) j--
      if (i > j) break
      const swapped = values[i]!
      values[i++] = values[j]!
      values[j--] = swapped
    }
    // All up to j are at most the pivot, all from i on at least; between them stands the pivot itself.
    if (k <= j) right = j
    else if (k >= i) left = i
    else break
  }
  return values[k]!
}
