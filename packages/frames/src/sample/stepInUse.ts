/** Samples that tell anything. */
const fewest = 32
/** A value that this share of the samples has is one in use; noise of a deep file spreads over more. */
const leastShare = 0.02
/** Values in use are the source's codes where nearly all samples have one of them. */
const nearlyAll = 0.9
/** A curve between 8-bit codes and the file makes of a step no more than this many, but in the deepest black. */
const steepest = 4

/**
 * Distance between the codes of the source, estimated from the values that occur, where a file holds levels that were
 * worked out from few codes: an 8-bit picture after a curve, a scaling or a LUT has steps of many sizes, and none divides
 * all. 0 where the values do not look like that.
 *
 * @param values rearranged
 * @param step8 a step of 8-bit codes on the whole scale, in the unit of the values
 */
export function stepInUse(values: Float64Array, step8: number): number {
  const count = values.length
  if (count < fewest || ofManyValues(values)) return 0
  values.sort()
  const inUse: number[] = []
  let held = 0
  for (let from = 0; from < count; ) {
    let to = from + 1
    while (to < count && values[to] === values[from]) to++
    if (to - from >= leastShare * count) {
      inUse.push(values[from]!)
      held += to - from
    }
    from = to
  }
  if (inUse.length < 2 || held < nearlyAll * count) return 0
  const gaps = inUse.slice(1).map((value, i) => value - inUse[i]!)
  // Between two values alone may lie whatever covers the patch: they are no scale yet.
  return Math.min(Math.max(...gaps), (inUse.length > 2 ? steepest : 1) * step8)
}

/** Are so many values different among a quarter of them that those in use, which are few, cannot be nearly all? */
function ofManyValues(values: Float64Array): boolean {
  const part = values.slice(0, values.length >> 2).sort()
  let different = 0
  for (let i = 0; i < part.length; i++) if (i === 0 || part[i] !== part[i - 1]) different++
  return different > 1 / leastShare + (1 - nearlyAll) * values.length
}
