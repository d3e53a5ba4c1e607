import { basename, dirname } from 'node:path'
import type { Chart, Range, Readings, Warning } from '@isochip/core'
import {
  type Corners,
  drawSampling,
  type Frame,
  markForeign,
  type SampledArea,
  sampleChart,
} from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { keepInput } from '../files/keepInput.ts'
import { OutputFolder } from '../files/outputFolder.ts'
import { markPng } from '../files/ownMark.ts'
import { checkCancelled } from '../progress/checkCancelled.ts'
import { type FootageReading, openFrames, readFrameFile } from './openFrame.ts'
import { placeChart } from './placeChart.ts'

export interface ReadChartsOptions extends FootageReading {
  readonly chart: Chart
  /** Outer corners of the patch grid in pixels, clockwise from the corner of the first patch. Default: found. */
  readonly corners?: Corners
  /** Range of the code values; default full. */
  readonly range?: Range
  /** Where to write the frame with the sampled areas drawn on it (PNG). */
  readonly picture?: string
  /** Replace that file even if isochip did not write it. */
  readonly force?: boolean
  /** Ends the work; nothing is written then. */
  readonly signal?: AbortSignal
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
 * @throws IsochipError `frame-unreadable`, `frame-size`, `chart-not-found`, `corners-invalid`, `output-exists`, `output-unwritable`, `cancelled`
 */
export async function readCharts(
  files: readonly string[],
  options: ReadChartsOptions,
): Promise<ChartReadings> {
  const { chart, corners, range = 'full', picture, force = false, signal } = options
  if (picture !== undefined) await keepInput(picture, files)
  const folder =
    picture === undefined
      ? undefined
      : await OutputFolder.open(dirname(picture), [basename(picture)], { force })
  const frames: Frame[] = []
  const warnings: Warning[] = []
  for (const file of files) {
    checkCancelled(signal)
    const opened = await openFrames(await readFrameFile(file, file), options, signal)
    for (const { warnings: told, ...frame } of opened) {
      frames.push(frame)
      warnings.push(...told)
    }
  }
  const placed = placeChart(frames[0]!, chart, corners)
  const sample = markForeign(sampleChart({ frames, chart, range, ...placed }), chart)
  checkCancelled(signal)
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
  return { ...sample, corners: placed.corners, warnings: [...warnings, ...sample.warnings] }
}
