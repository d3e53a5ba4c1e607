import { type Chart, given, type Readings, type Warning } from '@isochip/core'
import { type DecodedFrame, markForeign, type PatchArea, rangeDoubt, sampleChart } from '@isochip/frames'
import { type CameraEncoding, isMeasured } from '../load/measuredEncoding.ts'
import { otherCharts, type PlacedChart } from './placeChart.ts'
import { rawDoubt } from './rawDoubt.ts'
import { shotCautions } from './shotCautions.ts'

/** What the frames of a shot say: all but the pictures, which are made from the frame again if they have to be. */
export interface SampledShot {
  readonly readings: Readings
  /** Bits of the recording, 8…16. */
  readonly bits: number
  readonly warnings: readonly Warning[]
  /** In pixels of the frame. */
  readonly areas: readonly PatchArea[]
}

/** Where the recording is not known by its file: readings, and frames of floats. */
export const commonBits = 10

const narrowLevels: Warning = {
  code: 'narrow-levels',
  message:
    'the range of a Y′CbCr clip is taken out in decoding, so “range: narrow” is for the LUT alone, which takes narrow-range code values: leave it out where the LUT gets full-range R′G′B′',
}

/**
 * The chart in the decoded frames of one shot. Pure: it also runs in a browser.
 *
 * @param frames of one size and depth; they are averaged
 * @param placed where the chart is in the first of them, from `placeChart`
 * @throws IsochipError as `sampleChart` does
 */
export function sampleShot(
  frames: readonly DecodedFrame[],
  placed: PlacedChart,
  { chart, encoding }: { readonly chart: Chart; readonly encoding: CameraEncoding },
): SampledShot {
  const first = frames[0]!
  const plain = sampleChart({
    frames,
    chart,
    range: encoding.range,
    ...placed,
    // A curve that is still to be measured is measured on code values.
    ...(isMeasured(encoding) ? {} : { transfer: encoding.spec.transfer }),
  })
  const sample = markForeign(plain, chart, {
    frame: first,
    range: encoding.range,
    ...(isMeasured(encoding) ? {} : { transfer: encoding.spec.transfer }),
    ...given({ confidence: placed.confidence }),
  })
  return {
    readings: sample.readings,
    bits: first.bits === 'float' ? commonBits : first.bits,
    warnings: [
      ...frames.flatMap((frame) => frame.warnings),
      ...(first.clip !== undefined && encoding.range === 'narrow' ? [narrowLevels] : []),
      ...rawDoubt(first, encoding.spec),
      ...rangeDoubt(first, sample.areas),
      ...otherCharts(placed),
      ...sample.warnings,
      // How the chart was shot is judged on light, of which without a curve nothing is known yet.
      ...(isMeasured(encoding) ? [] : shotCautions(sample.areas, chart, encoding)),
    ],
    areas: sample.areas.map(({ patch, quad, centre }) => ({ patch, quad, centre })),
  }
}
