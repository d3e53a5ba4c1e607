/**
 * Charts that the frame cuts: rendered scenes cropped so that the chart reaches out on one side, by a share of a patch. From
 * the root of the project: `node --import tsx/esm -C @isochip/source test/gallery/cutCharts.ts FIRST COUNT`
 */
import { builtinCharts, IsochipError, isGrid } from '@isochip/core'
import { createFrame, type Frame, findChart } from '@isochip/frames'
import { scene } from '@isochip/synthetic'

const [first = 91001, count = 20] = process.argv.slice(2).map(Number)
/** Shares of a patch that are cut off. */
const shares = [0.1, 0.25, 0.5, 0.75, 1] as const
/** A corner further from its place than this, in patches, is another place. */
const wrongCorner = 0.5

function cropped(frame: Frame, [x0, y0, x1, y1]: readonly [number, number, number, number]): Frame {
  const [width, height] = [x1 - x0, y1 - y0]
  const data = frame.data.slice(0, 3 * width * height)
  for (let y = 0; y < height; y++) {
    const from = 3 * ((y + y0) * frame.width + x0)
    data.set(frame.data.subarray(from, from + 3 * width), 3 * y * width)
  }
  return createFrame(width, height, data, frame.bits)
}

const tally = new Map<number, { refused: number; named: number; read: number; wrong: number }>()
for (const share of shares) tally.set(share, { refused: 0, named: 0, read: 0, wrong: 0 })

for (let number = first; number < first + count; number++) {
  const shown = scene(number)
  const [truth, second] = shown.charts
  if (truth === undefined || second !== undefined || truth.mirrored || !isGrid(truth.chart)) continue
  const { chart, corners } = truth
  const [a, b] = corners
  const patch = Math.hypot(b[0] - a[0], b[1] - a[1]) * chart.geometry.patch[0]
  for (const [k, share] of shares.entries()) {
    const side = (number + k) % 4
    const axis = side % 2
    const along = corners.map((corner) => corner[axis]!)
    const depth = share * patch
    const box: [number, number, number, number] = [0, 0, shown.frame.width, shown.frame.height]
    if (side < 2) box[axis] = Math.round(Math.min(...along) + depth)
    else box[2 + axis] = Math.round(Math.max(...along) - depth)
    const of = tally.get(share)!
    try {
      const found = findChart(cropped(shown.frame, box), builtinCharts)
      const at = corners.map(([x, y]) => [x - box[0], y - box[1]] as const)
      const off = Math.max(...found.corners.map(([x, y], i) => Math.hypot(x - at[i]![0], y - at[i]![1])))
      const wrong = found.chart.id !== chart.id || off > wrongCorner * patch + depth
      of[wrong ? 'wrong' : 'read']++
      console.log(
        `${wrong ? 'WRONG' : 'read'} ${number} ${chart.id} side ${side} by ${share}: ${found.chart.id}, off ${(off / patch).toFixed(2)}, turned ${truth.rotation.toFixed(0)}, confidence ${found.confidence.value.toFixed(2)}`,
      )
    } catch (error) {
      if (!(error instanceof IsochipError)) throw error
      of[/reaches out/.test(error.message) ? 'named' : 'refused']++
    }
  }
}
for (const [share, of] of tally)
  console.log(
    `cut by ${share}: ${of.named} named as reaching out, ${of.refused} not found, ${of.read} read, ${of.wrong} at another place`,
  )
