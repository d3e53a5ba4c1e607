import { basename, dirname } from 'node:path'
import type { Chart, Range, Readings, Warning } from '@isochip/core'
import {
  type ChartMap,
  type Corners,
  drawSampling,
  type Frame,
  findChart,
  type SampledArea,
  sampleChart,
} from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { keepInput } from '../files/keepInput.ts'
import { OutputFolder } from '../files/outputFolder.ts'
import { markPng } from '../files/ownMark.ts'
import type { MoviePlace } from '../showFile/show.ts'
import { openFrames, readFrameFile } from './openFrame.ts'
import { mapOf } from './readShot.ts'

export interface ReadChartsOptions {
  readonly chart: Chart
  /** Outer corners of the patch grid in pixels, clockwise from the corner of the first patch. Default: found. */
  readonly corners?: Corners
  /** Where in a movie; default its first frame. */
  readonly at?: MoviePlace
  /** Range of the code values; default full. */
  readonly range?: Range
  /** Where to write the frame with the sampled areas drawn on it (PNG). */
  readonly picture?: string
  /** Replace that file even if isochip did not write it. */
  readonly force?: boolean
}

export interface ChartReadings {
  readonly readings: Readings
  /** Where the chart was looked for. */
  readonly corners: Corners
  readonly areas: readonly SampledArea[]
  readonly warnings: readonly Warning[]
}

/**
 * Reads the chart in frames of one setup, which are averaged.
 *
 * @throws IsochipError `frame-unreadable`, `frame-size`, `chart-not-found`, `corners-invalid`, `output-exists`, `output-unwritable`
 */
export async function readCharts(
  files: readonly string[],
  options: ReadChartsOptions,
): Promise<ChartReadings> {
  const { chart, corners, at, range = 'full', picture, force = false } = options
  if (picture !== undefined) await keepInput(picture, files)
  const folder =
    picture === undefined
      ? undefined
      : await OutputFolder.open(dirname(picture), [basename(picture)], { force })
  const frames: Frame[] = []
  const warnings: Warning[] = []
  for (const file of files) {
    for (const { warnings: told, ...frame } of await openFrames(await readFrameFile(file, file), at)) {
      frames.push(frame)
      warnings.push(...told)
    }
  }
  const where: { corners: Corners; map?: ChartMap } =
    corners === undefined ? findChart(frames[0]!, [chart]) : { corners }
  const sample = sampleChart({ frames, chart, corners: where.corners, range, ...mapOf(where) })
  if (folder !== undefined && picture !== undefined) {
    const clipped = sample.areas.filter((area) => area.clipped > 0.01).map(({ patch }) => patch)
    const drawn = drawSampling(frames[0]!, sample.areas, { clipped })
    try {
      await folder.stage(basename(picture), markPng(await encodeFrame(drawn, { format: 'png' })))
      await folder.commit()
    } finally {
      await folder.discard()
    }
  }
  return { ...sample, corners: where.corners, warnings: [...warnings, ...sample.warnings] }
}
