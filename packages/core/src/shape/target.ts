import * as z from 'zod'

export const target = z.union([
  z.strictObject({ camera: z.string().describe('The reference camera: the others are matched to it.') }),
  z.strictObject({
    reference: z.string().describe('The measured values of the chart, adapted to this white, are right.'),
  }),
  z.strictObject({
    consensus: z.literal(true).describe('The weighted mean of all cameras is right.'),
    weights: z.record(z.string(), z.number().nonnegative()).exactOptional(),
  }),
])
