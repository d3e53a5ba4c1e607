import { type ChartPoint, type ChartRegion, cos, hypot, regionCentre, sin, twiceArea } from '@isochip/core'
import { regionDepth } from './regionDepth.ts'

/** The inner part of a region: a convex polygon, clockwise as seen. */
export interface InsetRegion {
  readonly outline: readonly ChartPoint[]
  /** Clockwise corners of a quadrilateral in it: of the outline itself where that has four, else of an upright square. */
  readonly quad: readonly [ChartPoint, ChartPoint, ChartPoint, ChartPoint]
  readonly centre: ChartPoint
  /** Half the side of the largest upright square about the centre within the outline. */
  readonly half: number
}

/** Corners of the polygon that a circle is taken for. */
const corners = 48
/** Halvings in search of the widest margin; numerics. */
const halvings = 40
/** Places along a side where the largest circle in a polygon is looked for, and rounds of looking closer; numerics. */
const places = 24
const closer = 6

/**
 * What lies further from the edge than a margin, which is (1 − share) of the region's half width: the radius of the largest
 * circle in it. A square keeps `share` of its width. Of a polygon that is not convex it is the circle itself that is shrunk.
 *
 * @param share 0…1
 */
export function insetRegion(region: ChartRegion, share: number): InsetRegion {
  if ('circle' in region) return round(region.circle.centre, region.circle.radius * share)
  const polygon = clockwise(region.polygon)
  if (!isConvex(polygon)) {
    const { centre, radius } = largestCircle(polygon)
    return round(centre, radius * share)
  }
  let least = 0
  let most = Math.sqrt(Math.abs(twiceArea(polygon)))
  for (let k = 0; k < halvings; k++) {
    const middle = (least + most) / 2
    if (shrunk(polygon, middle).length > 2) least = middle
    else most = middle
  }
  const outline = shrunk(polygon, (1 - share) * least)
  const centre = regionCentre({ polygon: outline })
  const [a, b, c, d] = outline
  const upright = square(outline, centre)
  const quad = outline.length === 4 && a && b && c && d ? ([a, b, c, d] as const) : upright
  return { outline, quad, centre, half: upright[2][0] - centre[0] }
}

function round([x, y]: ChartPoint, radius: number): InsetRegion {
  const outline = Array.from({ length: corners }, (_, k): ChartPoint => {
    const turn = (2 * Math.PI * k) / corners
    return [x + radius * cos(turn), y + radius * sin(turn)]
  })
  const quad = square(outline, [x, y])
  return { outline, quad, centre: [x, y], half: quad[2][0] - x }
}

const clockwise = (polygon: readonly ChartPoint[]) =>
  twiceArea(polygon) > 0 ? polygon : [polygon[0]!, ...polygon.slice(1).reverse()]

const turnAt = (a: ChartPoint, b: ChartPoint, c: ChartPoint) =>
  (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])

const isConvex = (polygon: readonly ChartPoint[]) =>
  polygon.every((a, k) => {
    const [b, c] = [polygon[(k + 1) % polygon.length]!, polygon[(k + 2) % polygon.length]!]
    const size = hypot(b[0] - a[0], b[1] - a[1]) * hypot(c[0] - b[0], c[1] - b[1])
    return turnAt(a, b, c) >= -1e-9 * size
  })

/** A convex polygon less what lies within a margin of its sides: cut by each side, moved inwards. Empty where nothing is left. */
function shrunk(polygon: readonly ChartPoint[], margin: number): readonly ChartPoint[] {
  let left: readonly ChartPoint[] = polygon
  polygon.forEach((a, k) => {
    const b = polygon[(k + 1) % polygon.length]!
    const length = hypot(b[0] - a[0], b[1] - a[1])
    const inside = ([x, y]: ChartPoint) =>
      ((b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0])) / length - margin
    left = left.flatMap((p, i): ChartPoint[] => {
      const q = left[(i + 1) % left.length]!
      const [from, to] = [inside(p), inside(q)]
      const cut: ChartPoint = [
        p[0] + ((q[0] - p[0]) * from) / (from - to),
        p[1] + ((q[1] - p[1]) * from) / (from - to),
      ]
      if (from >= 0) return to >= 0 ? [p] : from === 0 ? [p] : [p, cut]
      return to > 0 ? [cut] : []
    })
  })
  return left
}

/** The largest upright square about a point that lies in a convex polygon. */
function square(outline: readonly ChartPoint[], [x, y]: ChartPoint): InsetRegion['quad'] {
  // A square of half side s touches a line at distance d, whose unit normal is (p, q), when s = d / (|p| + |q|).
  const half = Math.min(
    ...outline.map((a, k) => {
      const b = outline[(k + 1) % outline.length]!
      const twice = Math.abs((b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0]))
      return twice / Math.max(Math.abs(b[0] - a[0]) + Math.abs(b[1] - a[1]), Number.MIN_VALUE)
    }),
  )
  return [
    [x - half, y - half],
    [x + half, y - half],
    [x + half, y + half],
    [x - half, y + half],
  ]
}

/** Of a polygon of any shape, by looking closer and closer about the best place. */
function largestCircle(polygon: readonly ChartPoint[]): {
  readonly centre: ChartPoint
  readonly radius: number
} {
  const reach = (axis: 0 | 1) => {
    const all = polygon.map((point) => point[axis])
    return [Math.min(...all), Math.max(...all)] as const
  }
  let [[left, right], [top, bottom]] = [reach(0), reach(1)]
  let best: { readonly centre: ChartPoint; readonly radius: number } = { centre: polygon[0]!, radius: 0 }
  for (let round = 0; round < closer; round++) {
    for (let j = 0; j <= places; j++) {
      for (let i = 0; i <= places; i++) {
        const centre = [left + ((right - left) * i) / places, top + ((bottom - top) * j) / places] as const
        const radius = regionDepth({ polygon }, centre)
        if (radius > best.radius) best = { centre, radius }
      }
    }
    const [width, height] = [(2 * (right - left)) / places, (2 * (bottom - top)) / places]
    const [x, y] = best.centre
    ;[left, right, top, bottom] = [x - width, x + width, y - height, y + height]
  }
  return best
}
