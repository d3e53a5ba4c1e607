import { readdir, stat } from 'node:fs/promises'
import { basename, dirname, join } from 'node:path'
import {
  type Chart,
  decodeRgb,
  defaultClippedShare,
  given,
  IsochipError,
  type Range,
  type Readings,
  resolveEncoding,
  type TransferName,
  type Warning,
} from '@isochip/core'
import {
  type Confidence,
  type Corners,
  checkShot,
  drawSampling,
  type Frame,
  markForeign,
  rangeDoubt,
  type SampledArea,
  type ShotCheck,
  sampleChart,
} from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { keepInput } from '../files/keepInput.ts'
import { OutputFolder } from '../files/outputFolder.ts'
import { markPng } from '../files/ownMark.ts'
import { checkCancelled } from '../progress/checkCancelled.ts'
import { type FootageReading, frameEndings, openFrames, readFrameFile } from './openFrame.ts'
import { otherCharts, type PlacedChart, placeChart } from './placeChart.ts'
import { rawDoubt } from './rawDoubt.ts'
import { cautionsOf } from './shotCautions.ts'

export interface ReadChartsOptions extends FootageReading {
  readonly chart: Chart
  /** Outer corners of the patch grid in pixels, clockwise from the corner of the first patch. Default: found. */
  readonly corners?: Corners
  /** Range of the code values; default full. */
  readonly range?: Range
  /** The camera's curve. With it levels are those of the mean light, and how the chart was shot is judged on light. */
  readonly transfer?: TransferName
  /** Read every one of these charts in the frame? Default the largest, with a caution that names the others. */
  readonly all?: boolean
  /** Where to write the frame with the sampled areas drawn on it (PNG). */
  readonly picture?: string
  /** Replace that file even if isochip did not write it. */
  readonly force?: boolean
  /** Called as the work goes on: a file is opened, the chart looked for, once more in another size, … */
  readonly onStep?: (step: ReadingStep) => void
  /** Ends the work; nothing is written then. */
  readonly signal?: AbortSignal
}

/** How far reading is: `done` of `all` before this step. */
export interface ReadingStep {
  readonly step: 'opening' | 'looking'
  readonly done: number
  /** Files, or looks at the frame, of which there may be fewer. */
  readonly all: number
  /** The file that is opened. */
  readonly file?: string
}

export interface ChartReadings {
  readonly readings: Readings
  /** Where the chart was looked for. */
  readonly corners: Corners
  /** Of a chart that was found. */
  readonly confidence?: Confidence
  readonly areas: readonly SampledArea[]
  /** How the chart was shot. */
  readonly checks: readonly ShotCheck[]
  /** Of which light was reckoned: as declared, or what the file is known to hold; absent where it was assumed. */
  readonly transfer?: TransferName
  readonly warnings: readonly Warning[]
}

/** The chart that was read, the largest, and the others where they were asked for. */
export interface FrameReadings extends ChartReadings {
  readonly others: readonly ChartReadings[]
  /** Of these `warnings` so many, the first, are of the frames and of no chart. */
  readonly ofFrames: number
}

/** Without an encoding light is reckoned by this one, and only what does not depend on it is cautioned about. */
const assumed = 'bt709'
const ofCodes: readonly string[] = ['size', 'noise']

/**
 * Reads the chart in frames of one setup, which are averaged.
 *
 * @param files of frames, or folders, of which all frames are taken by the order of their names
 * @throws IsochipError `frame-unreadable`, `frame-size`, `chart-not-found`, `corners-invalid`, `output-exists`, `output-unwritable`, `cancelled`
 */
export async function readCharts(
  files: readonly string[],
  options: ReadChartsOptions,
): Promise<FrameReadings> {
  const { chart, corners, picture, force = false, signal, all = false, onStep } = options
  const paths = await framesOf(files)
  if (picture !== undefined) await keepInput(picture, paths)
  const folder =
    picture === undefined
      ? undefined
      : await OutputFolder.open(dirname(picture), [basename(picture)], { force })
  const frames: Frame[] = []
  const warnings: Warning[] = []
  for (const [done, file] of paths.entries()) {
    checkCancelled(signal)
    onStep?.({ step: 'opening', done, all: paths.length, file })
    const opened = await openFrames(await readFrameFile(file, file), options, signal)
    for (const { warnings: told, ...frame } of opened) {
      frames.push(frame)
      warnings.push(...told)
    }
  }
  const placed = placeChart(frames[0]!, chart, corners, {
    onLook: (look, most) => onStep?.({ step: 'looking', done: look - 1, all: most }),
  })
  const first = readPlaced(frames, placed, options)
  const others = all ? placed.others.map((one) => readPlaced(frames, one, options)) : []
  if (!all) warnings.push(...otherCharts(placed))
  checkCancelled(signal)
  if (folder !== undefined && picture !== undefined) {
    const charts = [first, ...others]
    const areas = charts.flatMap((one) => one.areas)
    const starts = charts.map((_, k) => charts.slice(0, k).reduce((sum, one) => sum + one.areas.length, 0))
    const clipped = areas.filter((area) => area.clipped > defaultClippedShare)
    // By area: several charts have patches of the same names.
    const excluded = charts.flatMap((one) => {
      const foreign = new Set(one.readings.patches.filter((patch) => patch.foreign).map(({ patch }) => patch))
      return one.areas.filter(({ patch }) => foreign.has(patch))
    })
    const drawn = drawSampling(frames[0]!, areas, { starts, clipped, excluded })
    try {
      await folder.stage(basename(picture), markPng(await encodeFrame(drawn, { format: 'png' })))
      await folder.commit()
    } finally {
      await folder.discard()
    }
  }
  return { ...first, others, ofFrames: warnings.length, warnings: [...warnings, ...first.warnings] }
}

function readPlaced(
  frames: readonly Frame[],
  { corners, map, confidence }: PlacedChart,
  { chart, range = 'full', transfer: declared }: ReadChartsOptions,
): ChartReadings {
  // Of camera raw the curve is known.
  const transfer = declared ?? (frames[0]!.linear ? 'linear' : undefined)
  const sample = markForeign(sampleChart(given({ frames, chart, range, corners, map, transfer })), chart, {
    frame: frames[0]!,
    range,
    ...given({ transfer, confidence }),
  })
  const encoding = resolveEncoding({ transfer: transfer ?? assumed, range })
  const checks = checkShot({ areas: sample.areas, chart, decode: (rgb) => decodeRgb(encoding, rgb) })
  const cautions = checks.filter(({ name }) => transfer !== undefined || ofCodes.includes(name))
  return {
    ...sample,
    ...given({ transfer }),
    corners,
    checks,
    warnings: [
      ...rawDoubt(frames[0]!, { transfer: transfer ?? assumed, range }),
      ...rangeDoubt(frames[0]!, sample.areas),
      ...sample.warnings,
      ...cautionsOf(cautions),
    ],
  }
}

/** Files as they are, and for a folder the frames in it. */
async function framesOf(paths: readonly string[]): Promise<readonly string[]> {
  const found: string[] = []
  for (const path of paths) {
    if (!(await stat(path).catch(() => undefined))?.isDirectory()) {
      found.push(path)
      continue
    }
    const names = (await readdir(path)).sort()
    const frames = names.filter((name) =>
      frameEndings.some((ending) => name.toLowerCase().endsWith(`.${ending}`)),
    )
    if (frames.length === 0)
      throw new IsochipError('frame-unreadable', 'the folder holds no frames', {
        hint: `frames are files that end in ${frameEndings.join(', ')}`,
        place: { file: path },
      })
    found.push(...frames.map((name) => join(path, name)))
  }
  return found
}
