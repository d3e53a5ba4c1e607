import * as z from 'zod'

/*
 * What is kept from run to run, as far as it is used again. Members that are not named pass: entries of other sources
 * are not looked up at all. Figures that do not exist are NaN here, which a schema has to allow by name.
 */

const figure = z.custom<number>((value) => typeof value === 'number', 'expected a number')
const three = z.tuple([z.number(), z.number(), z.number()])
const point = z.tuple([z.number(), z.number()])
const sha256 = z.string().regex(/^[0-9a-f]{64}$/)

const place = z.looseObject({})
const warnings = z.array(z.looseObject({ code: z.string(), message: z.string(), place: place.optional() }))

const readings = z.looseObject({
  patches: z.array(
    z.looseObject({
      patch: z.string(),
      rgb: three,
      sd: three.optional(),
      pixels: figure.optional(),
      clipped: figure.optional(),
      foreign: z.boolean().optional(),
    }),
  ),
})
const bits = z.int().min(8).max(16)

export const keptShot = z.looseObject({
  readings,
  bits,
  warnings,
  areas: z.array(
    z.looseObject({ patch: z.string(), quad: z.tuple([point, point, point, point]), centre: point }),
  ),
})

const stages = z.looseObject({ before: figure, balanced: figure, after: figure })
const summary = z.looseObject({ mean: figure, p95: figure, max: figure, worst: z.string() })

const cameraMatch = z.looseObject({
  model: z.looseObject({
    kind: z.string(),
    lift: three,
    gain: three,
    matrix: z.tuple([three, three, three]),
    rootPolynomial: z.array(z.array(z.number())).optional(),
  }),
  requested: z.string(),
  declared: z.tuple([three, three, three]),
  view: z.enum(['scene', 'display']),
  patches: z.array(
    z.looseObject({
      patch: z.string(),
      source: three,
      target: three,
      matched: three,
      dE00: stages,
      weight: figure,
    }),
  ),
  summary: z.looseObject({ before: summary, balanced: summary, after: summary }),
  diagnosis: z.looseObject({}),
  onSet: z.looseObject({}),
  warnings,
})

export const keptFit = z.looseObject({
  matches: z.array(
    z.looseObject({
      camera: z.string(),
      setup: z.string(),
      isTarget: z.boolean(),
      source: z.looseObject({
        spec: z.looseObject({}),
        primaries: z.looseObject({ red: point, green: point, blue: point, white: point }),
        range: z.enum(['full', 'narrow']),
      }),
      bits,
      readings,
      match: cameraMatch,
      inputs: z.array(z.looseObject({ path: z.string(), sha256 })),
    }),
  ),
  failures: z.array(z.looseObject({ code: z.string(), message: z.string(), place })),
})

const sums = z.map(z.string(), sha256)
const picture = z.looseObject({ uri: z.string(), width: z.int(), height: z.int() })

export const keptFinish = z.looseObject({
  lattice: z.looseObject({
    size: z.int().optional(),
    interpolation: z.looseObject({ mean: figure, max: figure }).optional(),
    integers: z.looseObject({ worst: figure, share: figure }).optional(),
  }),
  warnings,
  page: z.looseObject({ sampling: picture, before: picture, after: picture }).optional(),
  sums,
})

export const keptReport = sums

export const keptSums = z.map(
  z.string(),
  z.looseObject({
    stamp: z.looseObject({ size: z.bigint(), modified: z.bigint(), changed: z.bigint(), inode: z.bigint() }),
    sha256,
  }),
)
