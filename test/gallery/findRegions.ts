/**
 * The chart finder on scenes with a chart of regions, counted. From the root of the project:
 * `node --import tsx/esm -C @isochip/source test/gallery/findRegions.ts [first scene] [scenes] [chart] [levels of every n-th]`
 */
import { builtinChart } from '@isochip/core'
import { scene } from '@isochip/synthetic'
import { gradeScene, type Outcome, outcomeOf } from './gradeScene.ts'

const [first = 1, count = 300] = process.argv.slice(2, 4).map(Number)
const chart = builtinChart(process.argv[4] ?? 'buoy47')
const everyNth = Number(process.argv[5] ?? 10)

const outcomes = new Map<Outcome, number>()
const corners: number[] = []
const levels: number[] = []
const costs: number[] = []
for (let number = first; number < first + count; number++) {
  const withLevels = number % everyNth === 0
  const before = process.cpuUsage()
  const shown = withLevels ? gradeScene(number, [chart]) : outcomeOf(scene(number, [chart]))
  const { scene: seen, grade } = shown
  const { user } = process.cpuUsage(before)
  if (!withLevels) costs.push(user / 1e3)
  outcomes.set(grade.outcome, (outcomes.get(grade.outcome) ?? 0) + 1)
  if (grade.outcome === 'found') {
    corners.push(grade.cornerError)
    levels.push(...grade.levels.map(({ quiet }) => 100 * Math.abs(quiet)))
  }
  const [one] = seen.charts
  const { camera, width, height } = seen.conditions
  if (grade.outcome === 'not sure' || grade.outcome === 'wrong' || grade.cornerError > 0.15)
    console.log(
      `${number}: ${grade.outcome}, ${grade.message}; corners ${grade.cornerError.toFixed(3)}; ${width}×${height}, ` +
        `${one!.size.toFixed(2)} wide, slanted ${one!.slant.toFixed(0)}°, board ${one!.look.board?.toFixed(2)}, ` +
        `${camera.exposure?.toFixed(1)} stops, noise ${camera.noise?.read.toFixed(4)}, blur ${one!.look.blur?.toFixed(1)}` +
        `${one!.look.glare ? `, glare ${one!.look.glare.level.toFixed(2)}` : ''}, ${Math.round(100 * grade.clean)} % of the patches clean`,
    )
  // A run may be ended before its time.
  if ((number - first) % 25 === 24) report(number)
}
if (count % 25 !== 0) report(first + count - 1)

function report(last: number): void {
  console.log(`scenes ${first}…${last} with ${chart.id}: ${[...outcomes].map(([name, n]) => `${n} ${name}`).join(', ')}
50, 90, 95, 99 % and worst: corners, patch widths ${percentiles(corners, 3)}; levels at the same place without noise, % of full scale ${percentiles(levels, 3)}
milliseconds of processor time for rendering and finding ${percentiles(costs, 0)}`)
}

function percentiles(values: number[], digits: number): string {
  values.sort((a, b) => a - b)
  return [0.5, 0.9, 0.95, 0.99, 1]
    .map((share) => (values[Math.ceil(share * values.length) - 1] ?? Number.NaN).toFixed(digits))
    .join(' ')
}
