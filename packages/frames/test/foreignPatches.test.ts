import { builtinCharts, type GridChart, isGrid, type TransferName, type Vec3 } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import {
  createFrame,
  foreignPatches,
  markForeign,
  parseReadings,
  readingsToCsv,
  sampleChart,
} from '../src/index.ts'
import { easyScene, type Rendered, renderFindScene } from './support/findScene.ts'
import { normalNumbers } from './support/scene.ts'

const code = (light: number) => (light < 0.018 ? 4.5 * light : 1.099 * light ** 0.45 - 0.099)

const plain = new Map<string, Rendered>()

/** The same for all that is laid over it. */
function plainShot(chart: GridChart): Rendered {
  const before = plain.get(chart.id)
  if (before !== undefined) return before
  const rendered = renderFindScene({
    ...easyScene(chart),
    width: 640,
    height: 360,
    size: 0.7,
    at: [0.5, 0.281],
    balance: [1.2, 0.8],
    stops: -0.4,
  })
  plain.set(chart.id, rendered)
  return rendered
}

/** A rendered chart, with colours (linear light) laid over some of its patches, by a share of the width of each. */
function shot(chart: GridChart, covers: Readonly<Record<number, { rgb: Vec3; share: number }>> = {}) {
  const { frame, corners } = plainShot(chart)
  const data = Uint16Array.from(frame.data)
  const normal = normalNumbers(9)
  const [[x0, y0], , [x1, y1]] = corners as [readonly [number, number], unknown, readonly [number, number]]
  for (const [key, { rgb, share }] of Object.entries(covers)) {
    const k = Number(key)
    const left = x0 + (x1 - x0) * chart.geometry.pitch[0] * (k % chart.columns)
    const top = y0 + (y1 - y0) * chart.geometry.pitch[1] * Math.floor(k / chart.columns)
    const width = (x1 - x0) * chart.geometry.patch[0] * share
    const height = (y1 - y0) * chart.geometry.patch[1]
    for (let y = Math.floor(top); y < top + height; y++)
      for (let x = Math.floor(left); x < left + width; x++)
        for (let c = 0; c < 3; c++)
          data[3 * (y * frame.width + x) + c] = Math.round(
            65535 * Math.max(0, Math.min(1, code(rgb[c]! * 0.75) + 0.004 * normal())),
          )
  }
  const covered = createFrame(frame.width, frame.height, data)
  return { frame: covered, sample: sampleChart({ frames: [covered], chart, corners, range: 'full' }) }
}

const skin: Vec3 = [0.42, 0.26, 0.19]
const leaf: Vec3 = [0.05, 0.12, 0.03]
const paper: Vec3 = [0.8, 0.8, 0.8]

/** With the camera's curve, and without. */
const named = (chart: GridChart, { frame, sample }: ReturnType<typeof shot>, transfer?: TransferName) =>
  foreignPatches(sample.areas, chart, {
    frame,
    ...(transfer === undefined ? {} : { transfer }),
  }).flatMap(({ patch, foreign }) => (foreign ? [chart.patches.findIndex(({ name }) => name === patch)] : []))

describe.each(builtinCharts.filter(isGrid).map((chart) => [chart.id, chart] as const))(
  'what covers %s',
  (_, chart) => {
    it('is not seen where nothing does', () => {
      const bare = shot(chart)
      expect(named(chart, bare)).toEqual([])
      expect(named(chart, bare, 'bt709')).toEqual([])
    })

    it('is named, patch by patch, and nothing beside it', () => {
      // Over colours that are unlike: a hand over blue and a dark grey, a leaf over a light one, a label over dark ones.
      const blue = chart.patches.findIndex(({ name }) => name === 'blue')
      const sample = shot(chart, {
        [blue]: { rgb: skin, share: 1 },
        [blue + 1]: { rgb: leaf, share: 1 },
        3: { rgb: paper, share: 1 },
        0: { rgb: paper, share: 0.5 },
      })
      for (const transfer of ['bt709', undefined] as const)
        expect(named(chart, sample, transfer).sort((a, b) => a - b)).toEqual(
          [0, 3, blue, blue + 1].sort((a, b) => a - b),
        )
    })

    it('is seen by the edge across a patch where it has nearly its colour in the mean', () => {
      // Half of a patch twice as bright, half of it dark: its mean is about its own.
      const grey = chart.patches.findIndex(
        ({ value }) => value !== undefined && Math.abs(value[1] - 0.3) < 0.2,
      )
      const whole = shot(chart, { [grey]: { rgb: [0.55, 0.55, 0.55], share: 0.5 } })
      expect(named(chart, whole, 'bt709')).toEqual([grey])
    })

    it('is seen by the board that does not show about a patch of just its colour', () => {
      // A strip over three patches and the gaps between them, in the colour of the middle one.
      const middle = chart.columns + 2
      const { frame, corners } = plainShot(chart)
      const [[x0, y0], , [x1, y1]] = corners as [
        readonly [number, number],
        unknown,
        readonly [number, number],
      ]
      const { pitch, patch } = chart.geometry
      const data = Uint16Array.from(frame.data)
      const row = y0 + (y1 - y0) * pitch[1]
      const at = (column: number) => Math.floor(x0 + (x1 - x0) * pitch[0] * column)
      const normal = normalNumbers(4)
      const own =
        3 *
        (Math.floor(row + ((y1 - y0) * patch[1]) / 2) * frame.width +
          at(2) +
          Math.floor(((x1 - x0) * patch[0]) / 2))
      const colour = [0, 1, 2].map((c) => frame.data[own + c]!)
      for (let y = Math.floor(row); y < row + (y1 - y0) * patch[1]; y++)
        for (let x = at(1); x < at(3) + (x1 - x0) * patch[0]; x++)
          for (let c = 0; c < 3; c++) data[3 * (y * frame.width + x) + c] = colour[c]! + 260 * normal()
      const covered = createFrame(frame.width, frame.height, data)
      const sample = sampleChart({ frames: [covered], chart, corners, range: 'full' })
      for (const transfer of ['bt709', undefined] as const)
        expect(named(chart, { frame: covered, sample }, transfer)).toContain(middle)
    })

    it('lowers the confidence, and refuses a chart of which too little is left', () => {
      const confidence = { value: 0.9, explained: 0.95, margin: 0.95, even: 1 }
      const { frame, sample } = shot(chart, { 3: { rgb: paper, share: 1 } })
      const marked = markForeign(sample, chart, { frame, transfer: 'bt709', confidence })
      expect(marked.confidence!.clear).toBeCloseTo(1 - 1 / chart.patches.length, 9)
      expect(marked.confidence!.value).toBeCloseTo(0.9 * (1 - 1 / chart.patches.length), 9)
      const half = Object.fromEntries(
        chart.patches.flatMap((_, k) =>
          k % 9 < 4 ? [[k, { rgb: [skin, leaf, paper][k % 3]!, share: 0.6 }]] : [],
        ),
      )
      const lost = shot(chart, half)
      const context = { frame: lost.frame, transfer: 'bt709' } as const
      expect(() => markForeign(lost.sample, chart, { ...context, confidence })).toThrow(
        expect.objectContaining({ code: 'chart-not-found', message: expect.stringContaining('do not fit') }),
      )
      // Where somebody said where it is, it is read, with a caution.
      expect(markForeign(lost.sample, chart, context).warnings.at(-1)).toMatchObject({
        code: 'patch-foreign',
        message: expect.not.stringContaining('clip'),
      })
      // What clips under a lamp is a matter of exposure, and not of what lies there.
      const burnt = {
        ...lost.sample,
        areas: lost.sample.areas.map((area, k) => ({ ...area, clipped: k < 5 ? 0.3 : 0 })),
      }
      expect(markForeign(burnt, chart, context).warnings.at(-1)!.message).toMatch(
        /5 clip: .*is exposed right/,
      )
    })

    it('is left out of a match, with a caution, through a readings file too', () => {
      const marked = markForeign(shot(chart, { 3: { rgb: paper, share: 1 } }).sample, chart)
      const { name } = chart.patches[3]!
      expect(marked.warnings.filter(({ code: of }) => of === 'patch-foreign')).toMatchObject([
        { place: { patch: name } },
      ])
      const back = parseReadings(readingsToCsv(marked.readings), 'readings.csv', chart)
      expect(back.patches.filter(({ foreign }) => foreign).map(({ patch }) => patch)).toEqual([name])
    })
  },
)
