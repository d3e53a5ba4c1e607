import * as z from 'zod'
import { vec3 } from './numbers.ts'

/** The six off-diagonal terms of a matrix whose rows sum to 1 (or, for a change, to 0): `rg` is green into red. */
export const matrixTerms = z
  .object({
    rg: z.number(),
    rb: z.number(),
    gr: z.number(),
    gb: z.number(),
    br: z.number(),
    bg: z.number(),
  })
  .meta({ id: 'matrixTerms' })

/** What is to be turned at a camera. Zeros and ones turn nothing. */
export const turn = z.object({
  /** Stops; positive opens the iris. */
  exposure: z.number().describe('stops; positive opens the iris'),
  /** Factors on the gains of red and blue; green stays. */
  red: z.number().positive().describe('factor on the gain of red'),
  blue: z.number().positive().describe('factor on the gain of blue'),
  /** To be added to the six terms of the camera's own matrix. */
  matrix: matrixTerms.describe(
    'added to the six off-diagonal terms of the camera’s own matrix; rg is green into red',
  ),
  /** To be added to each channel's pedestal, as a fraction of the nominal signal (0.01 is 1 % of the signal). */
  pedestal: vec3.describe('added to each channel’s pedestal, as a fraction of the nominal signal'),
  /** Light to be added to all channels before the curve, as a share of white; negative takes flare away. Absent: nothing. */
  flare: z
    .number()
    .describe('light added to all channels before the curve, as a share of white; negative takes flare away')
    .exactOptional(),
  /** Exponent that the light is to be raised to before the curve; above 1 is darker in the middle. Absent: 1. */
  gamma: z
    .number()
    .positive()
    .describe('exponent on the light before the curve; above 1 is darker in the middle')
    .exactOptional(),
})

/** Controls as they are turned, in the order in which to turn them. */
export const turnGroup = z.enum(['pedestal', 'flare', 'exposure', 'gains', 'gamma', 'matrix'])

/** A group of controls to be turned, and what is expected of it. */
export const turnStage = z.object({
  group: turnGroup,
  expected: z.number().describe('mean ΔE00 expected of whoever stops after this group of controls'),
  gain: z
    .number()
    .describe('how much less that is than before it, and before those that are to be set together with it')
    .exactOptional(),
  together: z
    .literal(true)
    .describe('to be set together with the next, since by itself it makes it worse')
    .exactOptional(),
  filter: z
    .object({
      mired: z.number().describe('shift of the colour temperature in mired; positive: warmer'),
      tint: z
        .number()
        .describe('shift of the distance from the Planckian locus, 10⁻³ Duv; positive: greener'),
    })
    .describe('what the gains do to white, as a filter or a lamp has it')
    .exactOptional(),
})
