import { modelKinds } from '@isochip/core'
import * as z from 'zod'
import { log, power, primaries, range, transferName, vec3 } from '../showFile/encodingSchema.ts'

/*
 * What a reader of match files may rely on. Members that are not named here may come with a later version and are
 * passed over; a change of what is named comes with another number in `isochip`.
 */

const numbers = z.array(z.number())

const encoding = z.object({
  transfer: z.union([
    transferName,
    power,
    log,
    z.strictObject({ table: z.object({ code: numbers, light: z.tuple([numbers, numbers, numbers]) }) }),
  ]),
  primaries,
  range,
})

const mat3 = z.tuple([vec3, vec3, vec3])

const model = z
  .object({
    kind: z.enum(modelKinds),
    lift: vec3,
    gain: vec3,
    matrix: mat3,
    rootPolynomial: z.tuple([numbers, numbers, numbers]).exactOptional(),
  })
  .describe('y = M · (g ∘ (x + l)), linear light, camera primaries to working primaries.')

// A figure that does not exist (no such fit was possible) is null in JSON.
const figure = z.number().nullable()

const stages = z.object({ before: figure, balanced: figure, after: figure })

const summary = z.object({ mean: figure, p95: figure, max: figure, worst: z.string() })

const place = z.object({
  file: z.string().exactOptional(),
  line: z.number().exactOptional(),
  column: z.number().exactOptional(),
  camera: z.string().exactOptional(),
  setup: z.string().exactOptional(),
  patch: z.string().exactOptional(),
})

export const matchSchema = z
  .object({
    isochip: z.enum(['match/2', 'match/1']),
    title: z.string(),
    camera: z.string(),
    setup: z.string(),
    isTarget: z.boolean(),
    borrowed: z.string().exactOptional(),
    sourceEncoding: encoding,
    outputEncoding: encoding,
    bits: z.int().min(8).max(16),
    working: primaries,
    target: z.union([
      z.object({ camera: z.string() }),
      z.object({ reference: z.string() }),
      z.object({ consensus: z.literal(true), weights: z.record(z.string(), z.number()).exactOptional() }),
    ]),
    view: z.enum(['scene', 'display']),
    requested: z.enum([...modelKinds, 'auto']),
    model,
    spaces: z
      .object({
        model: z.object({ from: z.literal('sourceEncoding'), to: z.literal('working') }),
        patches: z.object({
          source: z.literal('working'),
          target: z.literal('working'),
          matched: z.literal('working'),
        }),
      })
      .describe('The field by whose primaries each colour, linear light, is to be read.')
      .exactOptional(),
    patches: z.array(
      z.object({
        patch: z.string(),
        source: vec3,
        target: vec3,
        matched: vec3,
        dE00: stages,
        dE76: stages,
        dEITP: stages,
        leaveOneOut: figure.exactOptional(),
        weight: z.number(),
        excluded: z.string().exactOptional(),
      }),
    ),
    summary: z.object({
      before: summary,
      balanced: summary,
      after: summary,
      leaveOneOut: summary.exactOptional(),
    }),
    curve: z.looseObject({ kind: z.enum(['corrected', 'measured']), encoding }).exactOptional(),
    encodingDoubt: z.looseObject({}).exactOptional(),
    diagnosis: z.looseObject({}),
    onSet: z.looseObject({}),
    warnings: z.array(z.object({ code: z.string(), message: z.string(), place: place.exactOptional() })),
    provenance: z.object({
      version: z.string(),
      inputs: z.array(
        z.object({
          path: z.string(),
          sha256: z.string().regex(/^[0-9a-f]{64}$/),
          camera: z.string().exactOptional(),
          setup: z.string().exactOptional(),
        }),
      ),
      options: z.looseObject({}),
    }),
  })
  .meta({ title: 'isochip match file' })
