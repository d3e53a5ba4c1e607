import { figure, range, setting, summary, three, view, warning } from '@isochip/core/shapes'
import { doubt, fault, tolerance } from '@isochip/report/shapes'
import * as z from 'zod'

/**
 * What has changed at a camera since its match was made, as its chart shows it through the match: light in the working
 * primaries, at the level of the target. A matrix in the camera that takes colour away would also take away some of a
 * change of the light; the match puts it back.
 */
export const drift = z.object({
  /** Stops; positive: brighter than then. */
  exposure: z.number(),
  /** White balance now over then: red and blue against green; positive mired: warmer than then. */
  whiteBalance: z.object({
    redOverGreen: z.number(),
    blueOverGreen: z.number(),
    mired: figure,
    tint: figure,
    /**
     * The same as kelvin of the light, which the chart does not tell: if it had `was` then, it is as if it had `now`.
     * One entry for each of the two usual lights; `kelvinAfter` reckons any other.
     */
    kelvin: z.array(z.object({ was: z.number(), now: z.number() })),
  }),
  /** Change of black per channel, in percent of a diffuse white; positive: lifted. */
  black: three(z.number()),
  /**
   * Mean ΔE00 between now and then, and what is left of it when exposure, white balance, black and colour (matrix)
   * are taken out one after the other. The step that brings it down most is what changed; what is left at the end is
   * noise, unevenness, or another light.
   */
  dE00: z.object({
    whole: z.number(),
    withoutExposure: z.number(),
    withoutWhiteBalance: z.number(),
    withoutBlack: z.number(),
    withoutColour: z.number(),
  }),
  /**
   * What to set at the camera to get back, in the order in which to set it, by the model of a line-up: towards its own chart
   * of then, in its own light. Not where a curve was measured, which holds what the controls do.
   */
  setting: setting.exactOptional(),
  /** Of its code values: a pedestal is told in them. */
  range,
})

/** Does one camera's LUT still hold? */
export const verifiedCamera = z.object({
  camera: z.string(),
  isTarget: z.boolean(),
  /** The setup by whose chart it is judged, where the show borrows its match from there. */
  borrowed: z.string().exactOptional(),
  /** The LUT, relative to the folder of the LUTs. Absent for a target camera without one. */
  lut: z.string().exactOptional(),
  /** ΔE00 between the camera through its LUT and the target, now. Not for the target itself. */
  now: summary.exactOptional(),
  /** The same of the chart of then, through the same LUT, where its match file is there and has the same target. */
  made: summary.exactOptional(),
  /** What has changed at the camera since, where its match file is there. */
  drift: drift.exactOptional(),
  within: z.boolean(),
  /** Why its figures are not to be taken at their word, whether they are within or not. */
  doubts: z.array(doubt),
  /** Those that count: what clips, sits in the noise, or had no part in the match does not. */
  patches: z.array(z.object({ patch: z.string(), dE00: z.number() })),
  leftOut: z.array(z.object({ patch: z.string(), reason: z.string() })),
  warnings: z.array(warning),
})

/** A verification as a document, `verify/1`. */
export const verificationFile = z
  .object({
    isochip: z.literal('verify/1').describe('Version of this format.'),
    title: z.string(),
    /** On which light the colour differences are computed: as the show has it for its matches. */
    view,
    tolerance,
    within: z.boolean(),
    setups: z.array(z.object({ setup: z.string(), cameras: z.array(verifiedCamera) })),
    /** Cameras that could not be looked at, and why. */
    failures: z.array(fault),
  })
  .describe('How far the cameras of a show now are from the target through LUTs that were made earlier.')
