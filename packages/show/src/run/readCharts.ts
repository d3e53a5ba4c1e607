import { basename, dirname } from 'node:path'
import type { Chart, Range, Readings, Warning } from '@isochip/core'
import { type Corners, drawSampling, type Frame, type SampledArea, sampleChart } from '@isochip/frames'
import { decodeFrame, encodeFrame } from '@isochip/frames/node'
import { OutputFolder } from '../files/outputFolder.ts'
import { markPng } from '../files/ownMark.ts'

export interface ReadChartsOptions {
  readonly chart: Chart
  /** Outer corners of the patch grid in pixels, clockwise from the corner of the first patch. */
  readonly corners: Corners
  /** Range of the code values; default full. */
  readonly range?: Range
  /** Where to write the frame with the sampled areas drawn on it (PNG). */
  readonly picture?: string
  /** Replace that file even if isochip did not write it. */
  readonly force?: boolean
}

export interface ChartReadings {
  readonly readings: Readings
  readonly areas: readonly SampledArea[]
  readonly warnings: readonly Warning[]
}

/**
 * Reads the chart in frames of one setup, which are averaged.
 *
 * @throws IsochipError `frame-unreadable`, `frame-size`, `corners-invalid`, `output-exists`, `output-unwritable`
 */
export async function readCharts(
  files: readonly string[],
  options: ReadChartsOptions,
): Promise<ChartReadings> {
  const { chart, corners, range = 'full', picture, force = false } = options
  const folder =
    picture === undefined
      ? undefined
      : await OutputFolder.open(dirname(picture), [basename(picture)], { force })
  const frames: Frame[] = []
  const warnings: Warning[] = []
  for (const file of files) {
    const { warnings: told, ...frame } = await decodeFrame(file)
    frames.push(frame)
    warnings.push(...told)
  }
  const sample = sampleChart({ frames, chart, corners, range })
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
  return { ...sample, warnings: [...warnings, ...sample.warnings] }
}
