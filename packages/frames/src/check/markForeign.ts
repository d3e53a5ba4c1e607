import { type Chart, defaultClippedShare, given, IsochipError, type Warning } from '@isochip/core'
import type { Confidence } from '../find/findChart.ts'
import type { ChartSample } from '../sample/sampleChart.ts'
import { type ForeignContext, foreignPatches, type PatchFit } from './foreignPatches.ts'

/** With more patches than this share that do not fit, the fit of the others is not to be trusted either … */
const most = 0.4
/** … and with more than this share of which the colour is so many errors off, as under a lamp's mirror image over all of a chart. */
const mostOff = { share: 0.5, errors: 3 }

const isOff = ({ foreign, colour }: PatchFit) => foreign || colour > mostOff.errors

/** Does too little of a chart fit, so that nothing is to be made of the rest? */
export function tooForeign(judged: readonly PatchFit[]): boolean {
  const share = (of: (one: PatchFit) => boolean) => judged.filter(of).length / Math.max(1, judged.length)
  return share(({ foreign }) => foreign) > most || share(isOff) > mostOff.share
}

export interface MarkContext extends ForeignContext {
  /** Of a chart that was found, and was not said to be there. */
  readonly confidence?: Confidence
}

/** A chart's sample whose covered patches are known. */
export interface MarkedSample extends ChartSample {
  /** That of the chart that was found, lowered by what is covered. */
  readonly confidence?: Confidence
}

/**
 * A chart's sample with the patches marked that something lies over: they take no part in a match. Each is named by a
 * caution. Where most of the chart does not fit, none is marked, and one caution says so.
 *
 * @throws IsochipError `chart-not-found` where most of a chart does not fit that was only found
 */
export function markForeign(sample: ChartSample, chart: Chart, context: MarkContext = {}): MarkedSample {
  const { confidence } = context
  const judged = foreignPatches(sample.areas, chart, context)
  const foreign = new Set(judged.flatMap((one) => (one.foreign ? [one.patch] : [])))
  const share = foreign.size / chart.patches.length
  if (tooForeign(judged)) {
    const clip = sample.areas.filter(({ clipped }) => clipped > defaultClippedShare).length
    const message = `${judged.filter(isOff).length} of the ${chart.patches.length} patches do not fit the chart’s values${clip === 0 ? '' : `, and ${clip} clip`}: look whether something or a lamp’s mirror image lies over the chart, ${clip === 0 ? '' : 'whether it is exposed right, '}whether it is this chart, and where it was looked for`
    if (confidence !== undefined) {
      const place = given({ file: context.frame?.file })
      throw new IsochipError('chart-not-found', message, {
        hint: 'uncover the chart, keep all of it in the frame and lamps out of it; or give the corners of its patch grid',
        place,
      })
    }
    return { ...sample, warnings: [...sample.warnings, { code: 'patch-foreign', message }] }
  }
  const lowered =
    confidence === undefined
      ? {}
      : { confidence: { ...confidence, value: confidence.value * (1 - share), clear: 1 - share } }
  if (foreign.size === 0) return { ...sample, ...lowered }
  return {
    ...sample,
    ...lowered,
    readings: {
      patches: sample.readings.patches.map((reading) =>
        foreign.has(reading.patch) ? { ...reading, foreign: true } : reading,
      ),
    },
    warnings: [
      ...sample.warnings,
      ...[...foreign].map(
        (patch): Warning => ({
          code: 'patch-foreign',
          message:
            'something else shows there than the chart (a hand, a leaf, a label, a lamp’s mirror image?), so it is left out of a match: take it away and shoot the chart again',
          place: { patch },
        }),
      ),
    ],
  }
}
