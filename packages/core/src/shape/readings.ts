import * as z from 'zod'
import { figure, vec3 } from './numbers.ts'
import { warning } from './warning.ts'

/** What a frame says of one patch. */
export const patchReading = z.object({
  /** Name of the patch, as in the chart. */
  patch: z.string(),
  /** Mean code values as nominal fractions: 0 = reference black, 1 = nominal peak (the range is taken out). */
  rgb: vec3.describe('mean code values as nominal fractions: 0 is reference black, 1 the nominal peak'),
  /** Standard deviation of a single pixel, in the same units. */
  sd: vec3.describe('standard deviation of a single pixel, in the same units').exactOptional(),
  /** Number of pixels that the mean is of. */
  pixels: z.number().describe('number of pixels that the mean is of').exactOptional(),
  /** Share of the patch's pixels that clip, 0…1. */
  clipped: z.number().describe('share of the pixels that clip, 0…1').exactOptional(),
  /** Something else than the chart shows there: a hand, a leaf, a label. It takes no part in a match. */
  foreign: z.boolean().describe('something covers the patch; it takes no part in a match').exactOptional(),
})

export const readings = z.object({ patches: z.array(patchReading) })

const corner = z.tuple([z.number(), z.number()])

/** One chart in a frame. */
const chartRead = {
  corners: z
    .array(corner)
    .length(4)
    .describe('outer corners of the patch grid in pixels, x right, y down, clockwise from the first patch'),
  /** Of a chart that was found. */
  confidence: z
    .object({
      /** explained × margin × even, 0…1. */
      value: z.number(),
      /** Share of the variation of the patches' colours that the chart's reference values explain. */
      explained: z.number(),
      /** 1 − what this placement leaves unexplained over what the next best one does. */
      margin: z.number(),
      /** Share of the patches that are even in themselves. */
      even: z.number(),
      meaning: z.string(),
    })
    .exactOptional(),
  ...readings.shape,
  /** How the chart was shot. */
  checks: z.array(
    z.object({
      name: z.enum(['evenness', 'glare', 'flare', 'clipping', 'size', 'noise']),
      value: figure,
      /** Good up to this value; for `size`, from this value on. */
      threshold: z.number(),
      unit: z.string(),
      passed: z.boolean(),
      /** What was measured, in words with the number. */
      message: z.string(),
      /** What to do about it on set. Empty where nothing is needed. */
      advice: z.string(),
      patches: z.array(z.string()).exactOptional(),
    }),
  ),
  /** The encoding by which levels were taken for light. */
  checkedAs: z.string(),
}

export const chartReading = z.object(chartRead)

/** `readings/1`: the readings of a frame, with where its chart is and how it was shot. */
export const readingsFile = z
  .object({
    isochip: z.literal('readings/1'),
    /** Id of the chart. */
    chart: z.string(),
    /** Paths, as they were given. */
    frames: z.array(z.string()),
    ...chartRead,
    /** Where all charts of the frame were asked for: the smaller ones, each with its own warnings. */
    others: z.array(chartReading.extend({ warnings: z.array(warning) })).exactOptional(),
    /** Of the frames, and of the chart above. */
    warnings: z.array(warning),
  })
  .meta({ title: 'isochip readings' })
