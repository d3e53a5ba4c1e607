import type { Chart, Vec3 } from '@isochip/core'
import { hypot, log2 } from '@isochip/core'
import { solveNormal } from '../geometry/solveNormal.ts'
import type { SampledArea } from '../sample/sampleChart.ts'
import { areaSteps, extent } from './areaSteps.ts'

/**
 * How the light falls off across a chart, as a plane in stops per pixel of the frame: from the slope within every
 * patch, and from patches that the chart has twice. Robust: the middle patches count, odd ones hardly.
 *
 * @returns `undefined` when no patch can tell
 */
export function lightSlope(
  areas: readonly SampledArea[],
  chart: Chart,
  decode: (rgb: Vec3) => Vec3,
): { readonly x: number; readonly y: number } | undefined {
  const observations: {
    readonly dx: number
    readonly dy: number
    readonly stops: number
    readonly error: number
  }[] = []
  for (const area of areas) {
    const steps = areaSteps(area, decode)
    if (steps === undefined) continue
    const [width, height] = extent(area)
    // Slopes within a patch also hold what lies on it; a hundredth of a stop is the least to be believed of one.
    const error = hypot(steps.error, 0.01)
    observations.push(
      { dx: width, dy: 0, stops: steps.x, error },
      { dx: 0, dy: height, stops: steps.y, error },
    )
  }
  for (const [a, b] of twins(chart)) {
    const one = areas.find((area) => area.patch === a)
    const two = areas.find((area) => area.patch === b)
    if (one === undefined || two === undefined || one.clipped > 0.02 || two.clipped > 0.02) continue
    const stops = log2(decode(two.rgb)[1] / decode(one.rgb)[1])
    if (!Number.isFinite(stops) || !(decode(one.rgb)[1] > 0.02)) continue
    // Two patches of one print agree within about a fiftieth of a stop.
    observations.push({
      dx: two.centre[0] - one.centre[0],
      dy: two.centre[1] - one.centre[1],
      stops,
      error: 0.02,
    })
  }
  if (observations.length < 4) return undefined
  let weights = observations.map(({ error }) => 1 / error ** 2)
  let x = 0
  let y = 0
  for (let round = 0; round < 6; round++) {
    const normal = new Float64Array(4)
    const right = new Float64Array(2)
    observations.forEach(({ dx, dy, stops }, i) => {
      const w = weights[i]!
      normal[0]! += w * dx * dx
      normal[2]! += w * dx * dy
      normal[3]! += w * dy * dy
      right[0]! += w * dx * stops
      right[1]! += w * dy * stops
    })
    if (!solveNormal(normal, right)) return undefined
    x = right[0]!
    y = right[1]!
    // Cauchy weights: an observation three errors off counts a tenth.
    weights = observations.map(
      ({ dx, dy, stops, error }) => 1 / (error ** 2 + (stops - x * dx - y * dy) ** 2),
    )
  }
  return { x, y }
}

/** Pairs of patches with the same reference value. */
function twins(chart: Chart): [string, string][] {
  const pairs: [string, string][] = []
  chart.patches.forEach((a, i) => {
    for (const b of chart.patches.slice(i + 1))
      if (a.value !== undefined && b.value !== undefined && a.value.every((v, k) => v === b.value![k]))
        pairs.push([a.name, b.name])
  })
  return pairs
}
