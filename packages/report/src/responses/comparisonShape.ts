import { place, responseComparison } from '@isochip/core/shapes'
import * as z from 'zod'

/** A fault of the input, as documents for programs have it. */
export const fault = z.object({
  /** Stable name, for scripts. A file of a later version may have others. */
  code: z.string(),
  /** Plain words: what was found and what was expected. */
  message: z.string(),
  /** What to do about it. */
  hint: z.string().exactOptional(),
  place,
})

/** A comparison as a document, `compare/1`. */
export const comparisonFile = z
  .object({
    isochip: z.literal('compare/1').describe('Version of this format.'),
    title: z.string(),
    chart: z.string().describe('Id of the chart.'),
    /** In each, the matrices between linear light, each camera in its own primaries, the observer in XYZ. */
    setups: z.array(z.object({ setup: z.string(), ...responseComparison.shape })),
    /** On what the metamerism index rests. */
    assumptions: z.array(z.string()),
    /** Cameras that could not be read, and why. */
    failures: z.array(fault),
  })
  .describe(
    'How the cameras of a show respond to the chart, against each other and against the standard observer.',
  )
