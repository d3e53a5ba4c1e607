/**
 * The chart finder on all scenes, counted and to be looked at. From the root of the project:
 * `node --import tsx/esm -C @isochip/source test/gallery/findScenes.ts FOLDER [first scene] [scenes] [chart-free scenes]`
 */
import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { builtinCharts, IsochipError } from '@isochip/core'
import { findChart } from '@isochip/frames'
import { chartFreeScene, type Scene } from '@isochip/synthetic'
import { type ContactSheetEntry, contactSheet } from './contactSheet.ts'
import { gradeScene, type Outcome, type SceneGrade } from './gradeScene.ts'

const [folder, ...numbers] = process.argv.slice(2)
if (folder === undefined) throw new RangeError('name the folder that the gallery is to be written to')
const [first = 1, count = 300, free = 200] = numbers.map(Number)
mkdirSync(folder, { recursive: true })

const entries: ContactSheetEntry[] = []
const graded: { readonly number: number; readonly grade: SceneGrade; readonly conditions: string }[] = []

const inWords = ({ conditions, charts }: Scene): string => {
  const { camera, light, width, height, blur, sharpening } = conditions
  const encoding = typeof camera.encoding === 'string' ? camera.encoding : 'log'
  const balance =
    typeof camera.balancedFor === 'object' ? ` for ${camera.balancedFor.kelvin?.toFixed(0)} K` : ''
  const shown = charts.map(
    ({ chart, size, rotation, slant, mirrored, look }) =>
      `${chart.id}${mirrored ? ' mirrored' : ''} ${size.toFixed(2)} wide, turned ${rotation.toFixed(0)}°, slanted ` +
      `${slant.toFixed(0)}°, board ${look.board?.toFixed(2)}${look.gaps ? '' : ', no gaps'}, blur ${look.blur?.toFixed(1)}` +
      `${look.glare ? `, glare ${look.glare.level.toFixed(2)}` : ''}`,
  )
  return (
    `${width}×${height} ${encoding} ${camera.bits} bit, ${camera.exposure?.toFixed(1)} stops, ${light}${balance}, ` +
    `noise ${camera.noise?.read.toFixed(4)}, behind ${blur.toFixed(1)}, sharpened ${sharpening.toFixed(1)}: ${shown.join('; ')}`
  )
}

const started = performance.now()
for (let number = first; number < first + count; number++) {
  const { scene: one, grade } = gradeScene(number)
  const conditions = inWords(one)
  graded.push({ number, grade, conditions })
  const worst = grade.levels.reduce((most, { error }) => Math.max(most, Math.abs(error)), 0)
  const figures =
    grade.outcome === 'found'
      ? `corners ${grade.cornerError.toFixed(3)}, levels ${(100 * worst).toFixed(2)} %, `
      : ''
  const clean = `${Math.round(100 * grade.clean)} % of the patches clean`
  const title = `${number}: ${grade.outcome}, ${clean}. ${figures}${grade.message}. ${conditions}`
  entries.push({ title, frame: one.frame, outlines: grade.corners })
  if ((grade.outcome !== 'found' && grade.outcome !== 'mirror refused') || grade.cornerError > 0.15)
    console.log(title)
}

let taken = 0
for (let number = first; number < first + free; number++) {
  const { frame } = chartFreeScene(number)
  try {
    const found = findChart(frame, builtinCharts)
    taken++
    const title = `chart-free ${number}: taken for ${found.chart.id}, confidence ${found.confidence.value.toFixed(2)}`
    console.log(title)
    entries.push({ title, frame, outlines: [found.corners] })
  } catch (error) {
    if (!(error instanceof IsochipError)) throw error
    if (number % 5 === 0) entries.push({ title: `chart-free ${number}: ${error.message}`, frame })
  }
}

const percentiles = (values: readonly number[], digits: number) => {
  const sorted = [...values].sort((a, b) => a - b)
  return [0.5, 0.9, 0.95, 0.99, 1]
    .map((share) => (sorted[Math.ceil(share * sorted.length) - 1] ?? Number.NaN).toFixed(digits).padStart(9))
    .join('')
}
const counted = (outcome: Outcome) => graded.filter(({ grade }) => grade.outcome === outcome).length
const outcomes = ['found', 'mirror refused', 'not sure', 'wrong'] as const
const levels = graded.flatMap(({ grade }) => grade.levels)
/** Noise that cannot move a level by more than the 0.3 % of full scale that are asked for. */
const quiet = levels.filter(({ noise }) => noise <= 0.003)
const found = graded.flatMap(({ grade }) => (grade.outcome === 'found' ? [grade] : []))
const beyond = found.filter(({ cornerError }) => cornerError > 0.15).length
console.log(`
scenes ${first}…${first + count - 1}: ${outcomes.map((outcome) => `${counted(outcome)} ${outcome}`).join(', ')}
corners off by more than 0.15 patch widths: ${beyond}
chart-free scenes: ${free}, taken for a chart ${taken}
${((performance.now() - started) / 1000).toFixed(0)} s

                                       50 %     90 %     95 %     99 %    worst
corners, patch widths            ${percentiles(
  found.map((grade) => grade.cornerError),
  4,
)}
patch levels, % of full scale
  same place, without noise      ${percentiles(
    levels.map((level) => 100 * Math.abs(level.quiet)),
    3,
  )}
  where 4 standard errors ≤ 0.3  ${percentiles(
    quiet.map(({ error }) => 100 * Math.abs(error)),
    3,
  )}
  all                            ${percentiles(
    levels.map(({ error }) => 100 * Math.abs(error)),
    3,
  )}
  all, less 4 standard errors    ${percentiles(
    levels.map(({ error, noise }) => 100 * Math.max(0, Math.abs(error) - noise)),
    3,
  )}
${levels.length} levels, ${quiet.length} of them with 4 standard errors ≤ 0.3 %`)
const page = join(folder, 'scenes.html')
writeFileSync(page, await contactSheet(`The finder on scenes ${first}…${first + count - 1}`, entries))
console.log(page)
