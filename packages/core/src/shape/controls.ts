import * as z from 'zod'

/** A control that this camera has not got, or that nobody wants to touch. */
const none = z.literal('none').describe('the camera has no such control, or nobody wants to touch it')
const step = z.number().positive()

/** How the controls of a camera move; what is left out moves continuously. */
export const controls = z
  .strictObject({
    /** The iris, or the gain that stands for it, by one click. */
    exposure: z
      .union([
        none,
        z.strictObject({ stops: step.describe('stops by one click; 0.3333 is a third') }),
        z.strictObject({ dB: step.describe('decibels by one click') }),
      ])
      .exactOptional(),
    /** Gains of red and blue. */
    gains: z
      .union([
        none,
        z.strictObject({
          percent: step.describe('percent of the gain by one click').exactOptional(),
          dB: step.describe('decibels by one click, in place of percent').exactOptional(),
          stand: z
            .enum(['before-matrix', 'after-matrix'])
            .describe('before or after the matrix that its maker built in; left out: the shots tell')
            .exactOptional(),
        }),
      ])
      .exactOptional(),
    /** What takes flare away, and what bends the curve. */
    flare: none.exactOptional(),
    gamma: none.exactOptional(),
    /** The camera's own matrix. */
    matrix: z
      .union([none, z.strictObject({ terms: step.describe('change of a term by one click') })])
      .exactOptional(),
    /** Pedestal, or black balance. */
    pedestal: z
      .union([
        none,
        z.strictObject({
          percent: step.describe('percent of the signal by one click').exactOptional(),
          mV: step.describe('millivolts by one click, in place of percent').exactOptional(),
          channels: z
            .enum(['each', 'master-red-blue'])
            .describe(
              'each: red, green and blue by themselves (default); master-red-blue: a master for all three, and red and blue on top',
            )
            .exactOptional(),
          stand: z
            .enum(['after-curve', 'before-curve'])
            .describe('added to the signal after the camera’s curve (default), or to the light before it')
            .exactOptional(),
        }),
      ])
      .exactOptional(),
  })
  .meta({
    id: 'controls',
    description:
      'How the controls of a camera move, for advice in clicks. What is left out moves continuously.',
  })
