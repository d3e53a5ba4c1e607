import type { ChartLayout, ChartPoint, ChartRegion } from '@isochip/core'
import { regionArea } from '@isochip/core'
import type { JsonNode } from './jsonNode.ts'

const positive = (value: number) => value > 0
const any = () => true
/** A region may reach over the edge by this share of the chart's size: rounding. */
const slack = 1e-6
/** Least area of a polygon over that of the box about it; with less it is a line. */
const thinnest = 1e-3

export function readLayout(node: JsonNode): ChartLayout {
  const fields = node.object(['size', 'landmarks'], ['size'])
  const size = fields.size!.array(2).map((part) => part.number(positive, 'a length above 0')) as [
    number,
    number,
  ]
  if (fields.landmarks === undefined) return { size }
  const names = new Set<string>()
  const landmarks = fields.landmarks.array().map((landmark) => {
    const { name, at } = landmark.object(['name', 'at'], ['name', 'at'])
    const called = name!.string()
    if (called.trim() !== called || called === '')
      throw name!.fault(`"${called}" is empty or has spaces around it`)
    if (names.has(called)) throw name!.fault(`"${called}" is the name of another landmark`)
    names.add(called)
    return { name: called, at: readPoint(at!) }
  })
  return { size, landmarks }
}

const readPoint = (node: JsonNode): ChartPoint => {
  const [x, y] = node.array(2).map((part) => part.number(any, 'a number'))
  return [x!, y!]
}

/** @param size of the chart, within which the region has to lie */
export function readRegion(node: JsonNode, size: ChartLayout['size']): ChartRegion {
  const { polygon, circle } = node.object(['polygon', 'circle'], [])
  if ((polygon === undefined) === (circle === undefined))
    throw node.fault(
      polygon === undefined
        ? 'neither polygon nor circle'
        : 'polygon and circle where one of them is expected',
    )
  const inside = (x: number, y: number) =>
    x >= -slack * size[0] && y >= -slack * size[1] && x <= (1 + slack) * size[0] && y <= (1 + slack) * size[1]
  if (circle !== undefined) {
    const fields = circle.object(['centre', 'radius'], ['centre', 'radius'])
    const [x, y] = readPoint(fields.centre!)
    const radius = fields.radius!.number(positive, 'a radius above 0')
    if (!inside(x - radius, y - radius) || !inside(x + radius, y + radius))
      throw circle.fault(`the circle reaches out of the chart of ${size.join(' × ')}`)
    return { circle: { centre: [x, y], radius } }
  }
  const nodes = polygon!.array()
  if (nodes.length < 3 || nodes.length > 100)
    throw polygon!.fault(`${nodes.length} corners where 3 to 100 are expected`)
  const points = nodes.map((corner) => {
    const point = readPoint(corner)
    if (!inside(...point)) throw corner.fault(`the corner lies out of the chart of ${size.join(' × ')}`)
    return point
  })
  if (crossesItself(points)) throw polygon!.fault('the polygon crosses itself, or has a corner twice')
  const extent = (axis: 0 | 1) =>
    Math.max(...points.map((point) => point[axis])) - Math.min(...points.map((point) => point[axis]))
  if (!(regionArea({ polygon: points }) > thinnest * extent(0) * extent(1)))
    throw polygon!.fault('the corners of the polygon lie on a line')
  return { polygon: points }
}

/** Do two sides meet that are not neighbours, or is a corner given twice? */
function crossesItself(points: readonly ChartPoint[]): boolean {
  const n = points.length
  const side = (o: ChartPoint, a: ChartPoint, p: ChartPoint) =>
    Math.sign((a[0] - o[0]) * (p[1] - o[1]) - (a[1] - o[1]) * (p[0] - o[0]))
  return points.some((a, i) => {
    const b = points[(i + 1) % n]!
    if (a[0] === b[0] && a[1] === b[1]) return true
    return points.some((c, j) => {
      if (j <= i + 1 || (i === 0 && j === n - 1)) return false
      const d = points[(j + 1) % n]!
      if (c[0] === a[0] && c[1] === a[1]) return true
      return side(a, b, c) * side(a, b, d) < 0 && side(c, d, a) * side(c, d, b) < 0
    })
  })
}
