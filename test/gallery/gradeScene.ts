import { builtinCharts, type Chart, IsochipError, resolveEncoding } from '@isochip/core'
import { type FindResult, type FoundChart, findChart, type Quad, sampleChart } from '@isochip/frames'
import { quietScene, type Scene, type SceneChart, scene } from '@isochip/synthetic'
import { meanSide } from '../../packages/frames/src/sample/meanSide.ts'

/**
 * What the finder made of a frame. `mirror refused` is the right answer to a chart that is seen in a mirror; `wrong`
 * is any answer that a user would be misled by.
 */
export type Outcome = 'found' | 'mirror refused' | 'not sure' | 'wrong'

export interface SceneGrade {
  readonly outcome: Outcome
  /** Largest share of patches among the charts that neither clip nor are under glare. For information only. */
  readonly clean: number
  /** Every chart of the scene is seen in a mirror. */
  readonly mirrored: boolean
  /** In the finder's words, or what is wrong. */
  readonly message: string
  readonly corners: readonly Quad[]
  /** Largest distance of a corner from the true one, in widths of the patch at that corner. Found charts only. */
  readonly cornerError: number
  /** Of every patch and channel that neither clips nor glares. */
  readonly levels: readonly LevelError[]
}

export interface LevelError {
  readonly patch: string
  readonly channel: number
  /** Level read less the noise-free level at the patch's middle, nominal fractions. */
  readonly error: number
  /** Four standard errors of that level: what the picture's noise alone may do to it. */
  readonly noise: number
  /** The error at the same place in the same picture without noise. */
  readonly quiet: number
}

/** A corner further from its place than this is a wrong answer, in patch widths. */
const wrongCorner = 0.5

const cleanShare = ({ patches }: SceneChart) =>
  patches.filter(({ clipped, glare }) => !clipped && !glare).length / patches.length

/** A patch is said to clip when more than this share of its sampled pixels does. */
const clippedShare = 0.001

/** Grades the finder, and the sampling where it found a chart, on the scene of a number. */
export function gradeScene(
  number: number,
  among?: readonly Chart[],
): { readonly scene: Scene; readonly grade: SceneGrade } {
  const shown = scene(number, among)
  return { scene: shown, grade: gradeShown(shown, () => quietScene(number, among)) }
}

/** The finder's answer to a scene alone, without the levels. */
export const outcomeOf = (shown: Scene): { readonly scene: Scene; readonly grade: SceneGrade } => ({
  scene: shown,
  grade: gradeShown(shown),
})

function gradeShown(shown: Scene, quiet?: () => Scene): SceneGrade {
  const { charts } = shown
  const mirrored = charts.every((chart) => chart.mirrored)
  const nothing = {
    clean: Math.max(...charts.map(cleanShare)),
    mirrored,
    corners: [],
    cornerError: Number.NaN,
    levels: [],
  }
  let result: FindResult
  try {
    result = findChart(shown.frame, builtinCharts)
  } catch (error) {
    if (!(error instanceof IsochipError) || error.code !== 'chart-not-found') throw error
    const { message } = error
    if (!/mirror/.test(message)) return { ...nothing, outcome: 'not sure', message }
    return { ...nothing, outcome: mirrored ? 'mirror refused' : 'wrong', message }
  }
  const answers = [result, ...result.others]
  const corners = answers.map((answer) => answer.corners)
  const wrong = (message: string): SceneGrade => ({ ...nothing, outcome: 'wrong', message, corners })
  let largest: { readonly answer: FoundChart; readonly truth: SceneChart; readonly error: number } | undefined
  for (const answer of answers) {
    const matches = charts.map((truth) => ({ answer, truth, error: cornerError(answer, truth) }))
    const best = matches.reduce((a, b) => (b.error < a.error ? b : a))
    const said = `${answer.chart.id} at ${answer.corners.map(([x, y]) => `${x.toFixed(0)},${y.toFixed(0)}`).join(' ')}`
    if (best.truth.chart.id !== answer.chart.id) return wrong(`${said}: that is a ${best.truth.chart.id}`)
    if (best.truth.mirrored) return wrong(`${said}: that is seen in a mirror`)
    if (!(best.error < wrongCorner)) return wrong(`${said}: off by ${best.error.toFixed(2)} patches`)
    largest ??= best
  }
  const { answer, truth, error } = largest!
  const { value, explained, margin, even } = answer.confidence
  return {
    ...nothing,
    outcome: 'found',
    message: `confidence ${[value, explained, margin, even].map((one) => one.toFixed(2)).join(' ')}`,
    corners,
    cornerError: error,
    levels: quiet === undefined ? [] : levelErrors(shown, quiet(), answer, truth),
  }
}

/**
 * Largest distance of a true corner from where the found map has it, in patch widths. A chart may be built with other
 * gaps than its file says: the corner is then looked up where it lies in patch pitches.
 */
function cornerError({ map, chart }: FoundChart, truth: SceneChart): number {
  const distance = ([ax, ay]: readonly [number, number], [bx, by]: readonly [number, number]) =>
    Math.hypot(ax - bx, ay - by)
  if (truth.chart.regions !== undefined) {
    if (chart.id !== truth.chart.id) return Number.POSITIVE_INFINITY
    const [a, b, c, d] = truth.corners
    const share = meanSide(truth.chart) / truth.chart.regions.size[0]
    const width = share * Math.min(distance(a, b), distance(c, d))
    const places = [map(0, 0), map(1, 0), map(1, 1), map(0, 1)]
    return Math.max(...places.map((place, k) => distance(place, truth.corners[k]!))) / width
  }
  const { columns, rows, geometry } = truth.chart
  if (chart.regions !== undefined || chart.columns !== columns || chart.rows !== rows)
    return Number.POSITIVE_INFINITY
  const at = (column: number, row: number) => {
    const { pitch, patch } = chart.geometry
    return map(patch[0] / 2 + column * pitch[0], patch[1] / 2 + row * pitch[1])
  }
  const half = [0, 1].map((axis) => geometry.patch[axis]! / geometry.pitch[axis]! / 2) as [number, number]
  const centre = (column: number, row: number) => truth.patches[row * columns + column]!.centre
  const [c, r] = [columns - 1, rows - 1]
  return Math.max(
    ...(
      [
        [0, 0, 1, 1],
        [c, 0, -1, 1],
        [c, r, -1, -1],
        [0, r, 1, -1],
      ] as const
    ).map(([column, row, inX, inY], k) => {
      const width = Math.min(
        2 * half[0] * distance(centre(column, row), centre(column + inX, row)),
        2 * half[1] * distance(centre(column, row), centre(column, row + inY)),
      )
      return distance(at(column - inX * half[0], row - inY * half[1]), truth.corners[k]!) / width
    }),
  )
}

function levelErrors(shown: Scene, quiet: Scene, answer: FoundChart, truth: SceneChart): LevelError[] {
  const { spec, range } = resolveEncoding(shown.conditions.camera.encoding)
  const read = ({ frame }: Scene) =>
    sampleChart({
      frames: [frame],
      chart: answer.chart,
      corners: answer.corners,
      map: answer.map,
      range,
      transfer: spec.transfer,
    }).areas
  const areas = read(shown)
  const still = read(quiet)
  return areas.flatMap((area, k) => {
    const patch = truth.patches[k]!
    if (patch.clipped || patch.glare || area.clipped > clippedShare) return []
    return [0, 1, 2].map((channel) => ({
      patch: patch.patch,
      channel,
      error: area.rgb[channel]! - patch.code[channel]!,
      noise: 4 * area.standardError[channel]!,
      quiet: still[k]!.rgb[channel]! - patch.code[channel]!,
    }))
  })
}
