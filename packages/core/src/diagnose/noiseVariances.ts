import type { ResidualSlopes } from '../fit/residualSlopes.ts'
import type { Samples } from '../samples/samples.ts'

/** What the standard errors of readings and target put into each residual's variance, to first order: three per patch. */
export function noiseVariances(
  { bySource, byTarget }: Pick<ResidualSlopes, 'bySource' | 'byTarget'>,
  { count, sourceError, targetError }: Pick<Samples, 'count' | 'sourceError' | 'targetError'>,
): Float64Array {
  const sum = new Float64Array(3 * count)
  for (let i = 0; i < 3 * count; i++) {
    const p = i - (i % 3)
    for (let c = 0; c < 3; c++)
      sum[i]! +=
        (bySource[3 * i + c]! * sourceError[p + c]!) ** 2 + (byTarget[3 * i + c]! * targetError[p + c]!) ** 2
  }
  return sum
}
