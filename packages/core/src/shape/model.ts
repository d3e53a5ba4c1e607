import * as z from 'zod'
import { modelKinds } from '../model/modelKind.ts'
import { mat3, numbers, three, vec3 } from './numbers.ts'

export const modelKind = z.enum(modelKinds).meta({ id: 'modelKind' })

/** What a fit gives: linear light in the camera's own primaries → linear light in the working primaries. */
export const matchModel = z
  .object({
    kind: modelKind,
    /** Per channel, linear light in the camera's primaries. */
    lift: vec3,
    /** Per channel. */
    gain: vec3,
    /** Rows sum to 1 (for the root-polynomial kinds: together with the row of `rootPolynomial`). */
    matrix: mat3,
    /** Only for the root-polynomial kinds: coefficients of the terms after r, g, b, one row a channel. */
    rootPolynomial: three(numbers).exactOptional(),
  })
  .describe('y = M · (g ∘ (x + l)), linear light, camera primaries to working primaries.')

/** Nothing fitted: the conversion between the declared primaries. */
export const conversion = z
  .object({ kind: z.literal('conversion'), matrix: mat3 })
  .describe('y = M · x, linear light, camera primaries to working primaries as declared.')
