import { given, hypot, IsochipError } from '@isochip/core'
import type { Frame } from '../../frame/frame.ts'
import type { Point, Quad } from '../../geometry/homography.ts'

/** The four outer corners of the patch grid, clockwise from the corner of the first patch. */
export type Corners = readonly Point[]

const text = (corners: Corners) => corners.map(([x, y]) => `[${+x.toFixed(1)}, ${+y.toFixed(1)}]`).join(', ')

const order =
  'give the outer corners of the patch grid as the first patch’s, then clockwise round the chart as you read it: ' +
  'last patch of the first row, last patch of all, first patch of the last row'

/** Twice the signed area of the corner at b; positive for a turn to the right, as y runs down. */
const turn = (a: Point, b: Point, c: Point) => (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])

/**
 * Corners that can be those of a chart in the frame.
 *
 * @throws IsochipError `corners-invalid`: not four, not numbers, outside the frame, on a line, crossed, or
 *   anticlockwise (a mirrored picture, or corners given in the wrong order)
 */
export function checkCorners(corners: Corners, frame: Pick<Frame, 'width' | 'height' | 'file'>): Quad {
  const place = given({ file: frame.file })
  const fail = (message: string, hint = order) =>
    new IsochipError('corners-invalid', message, { hint, place })
  const [first, second, third, fourth, ...more] = corners
  if (!first || !second || !third || !fourth || more.length > 0)
    throw fail(`${corners.length} corners where a chart has 4`)
  if (!corners.every((corner) => corner.length === 2 && corner.every(Number.isFinite)))
    throw fail(`corners that are not pairs of finite numbers: ${JSON.stringify(corners)}`)
  const quad: Quad = [first, second, third, fourth]
  const outside = quad.find(([x, y]) => x < 0 || y < 0 || x > frame.width || y > frame.height)
  if (outside !== undefined)
    throw fail(
      `corner ${text([outside])} lies outside the frame of ${frame.width} × ${frame.height} pixels`,
      'the whole chart must be in the frame; corners are in pixels, x right and y down from the top left corner',
    )
  const turns = quad.map((b, i) => {
    const a = quad[(i + 3) % 4]!
    const c = quad[(i + 1) % 4]!
    const size = hypot(b[0] - a[0], b[1] - a[1]) * hypot(c[0] - b[0], c[1] - b[1])
    return size > 0 ? turn(a, b, c) / size : 0
  })
  // The sine of the corner's angle: under 1° from straight there is no patch to be measured.
  if (turns.some((sine) => Math.abs(sine) < 0.0175))
    throw fail(`three of the corners ${text(corners)} lie on a line, or two coincide`)
  const right = turns.filter((sine) => sine > 0).length
  if (right === 0)
    throw fail(
      `corners ${text(corners)} run anticlockwise`,
      `${order}. If that is how the chart stands in the picture, the picture is mirrored: deliver it as shot`,
    )
  if (right < 4) throw fail(`corners ${text(corners)} cross, or one lies inside the triangle of the others`)
  return quad
}
