import { modelKinds } from '@isochip/core'

const number = { type: ['number', 'null'] } as const
const text = { type: 'string' } as const
const ref = (name: string) => ({ $ref: `#/$defs/${name}` })
const list = (items: object) => ({ type: 'array', items })
const vector = { type: 'array', items: number, minItems: 3, maxItems: 3 } as const

/** An object with exactly these members; those of `optional` may be missing. */
function object(members: Record<string, object>, optional: Record<string, object> = {}) {
  return {
    type: 'object',
    properties: { ...members, ...optional },
    required: Object.keys(members),
    additionalProperties: false,
  }
}

const stages = object({ before: number, balanced: number, after: number })
const summary = object({ mean: number, p95: number, max: number, worst: text })
const interval = object({ standardError: number, low: number, high: number })
const threeIntervals = { type: 'array', items: ref('interval'), minItems: 3, maxItems: 3 }
const encoding = object({ transfer: {}, primaries: {}, range: { enum: ['full', 'narrow'] } })
const limit = {
  enum: ['noise', 'clipping', 'unevenness', 'curve', 'foreign', 'spectral', 'undetermined'],
}
const place = object({}, { file: text, line: number, column: number, camera: text, setup: text, patch: text })

const model = object(
  { kind: { enum: modelKinds }, lift: vector, gain: vector, matrix: list(vector) },
  { rootPolynomial: list(list(number)) },
)

const patch = object(
  {
    patch: text,
    source: vector,
    target: vector,
    matched: vector,
    dE00: ref('stages'),
    dE76: ref('stages'),
    dEITP: ref('stages'),
    weight: number,
  },
  { leaveOneOut: number, excluded: text },
)

const diagnosis = object(
  {
    patchesUsed: number,
    parameters: number,
    rank: number,
    columns: number,
    condition: number,
    objective: { enum: ['linear', 'perceptual'] },
    iterations: number,
    converged: { type: 'boolean' },
    stopped: text,
    noiseAmplification: object({ channels: vector, luminance: number }),
  },
  {
    intervals: object({ lift: threeIntervals, gain: threeIntervals, matrix: list(threeIntervals) }),
    budget: object(
      {
        noise: number,
        clipping: number,
        unevenness: number,
        curve: number,
        foreign: number,
        spectral: number,
        undetermined: number,
        limit,
      },
      { or: list(limit) },
    ),
    evenness: object({
      stops: number,
      standardError: number,
      field: list(number),
      divided: { type: 'boolean' },
    }),
    expected: object({ mean: number, p95: number, basis: { enum: ['spectra', 'left-out'] } }),
    candidates: list(object({ kind: { enum: modelKinds }, leaveOneOut: number, standardError: number })),
  },
)

const term = object({ value: number, standardError: number, low: number, high: number })
const curve = object({
  kind: { enum: ['corrected', 'measured'] },
  encoding,
  middle: number,
  common: list(term),
  channels: list(list(term)),
})

const encodingDoubt = object({
  statistic: number,
  declared: object({ mean: number, leaveOneOut: number }),
  alternatives: list(
    object({ encoding: object({ transfer: {}, range: { enum: ['full', 'narrow'] } }), mean: number }),
  ),
  remedies: list(
    object({
      curve: { enum: ['corrected', 'measured'] },
      model: { enum: modelKinds },
      leaveOneOut: number,
    }),
  ),
})

const onSet = object({
  exposure: number,
  whiteBalance: object({ redOverGreen: number, blueOverGreen: number, mired: number, tint: number }),
  blackBalance: vector,
  matrix: object({ rg: number, rb: number, gr: number, gb: number, br: number, bg: number }),
  primaries: list(object({ name: text, hue: number, saturation: number })),
})

const change = object({
  camera: text,
  from: text,
  to: text,
  exposure: number,
  whiteBalance: object({ redOverGreen: number, blueOverGreen: number, mired: number }),
  black: vector,
  matrix: object({ rg: number, rb: number, gr: number, gb: number, br: number, bg: number }),
  notable: list({ enum: ['exposure', 'white balance', 'black', 'matrix'] }),
})

const camera = object(
  {
    camera: text,
    isTarget: { type: 'boolean' },
    verdict: object(
      {
        state: { enum: ['target', 'within', 'doubtful', 'out'] },
        exceeded: list({ enum: ['mean', 'max'] }),
        doubts: list(object({ code: text, message: text })),
      },
      { limit },
    ),
    sourceEncoding: encoding,
    outputEncoding: encoding,
    levels: object(
      { low: number, high: number, outside: list(text) },
      { luma: object({ low: number, high: number }) },
    ),
    requested: { enum: [...modelKinds, 'auto'] },
    model,
    summary: object(
      { before: ref('summary'), balanced: ref('summary'), after: ref('summary') },
      { leaveOneOut: ref('summary') },
    ),
    patches: list(patch),
    diagnosis,
    onSet,
    warnings: list(object({ code: text, message: text }, { place })),
  },
  {
    borrowed: text,
    curve,
    encodingDoubt,
    lut: object(
      { files: list(text) },
      {
        size: number,
        interpolation: object({ mean: number, max: number }),
        integers: object({ worst: number, share: number }),
      },
    ),
  },
)

/**
 * JSON Schema (draft 2020-12) of `reportJson`. Numbers may be null: a figure that does not exist. A later
 * release may add members; none goes or changes its meaning without another number in `isochip`.
 */
export const reportSchema: Readonly<Record<string, unknown>> = {
  $schema: 'https://json-schema.org/draft/2020-12/schema',
  title: 'isochip report',
  ...object(
    {
      isochip: { const: 'report/2' },
      version: text,
      title: text,
      chart: text,
      working: {},
      spaces: object({
        model: object({ from: { const: 'sourceEncoding' }, to: { const: 'working' } }),
        patches: object({
          source: { const: 'working' },
          target: { const: 'working' },
          matched: { const: 'working' },
        }),
      }),
      target: { type: 'object' },
      tolerance: object({ mean: number, max: number }),
      view: { enum: ['scene', 'display'] },
      verdict: object({ within: { type: 'boolean' }, judged: number, out: number, doubtful: number }),
      setups: list(
        object({
          setup: text,
          cameras: list(camera),
          pairs: list(object({ a: text, b: text, before: number, after: number })),
        }),
      ),
      changes: list(change),
      inputs: list(object({ path: text, sha256: text }, { camera: text, setup: text })),
    },
    { fit: { type: 'object' }, failed: list(object({ camera: text, setup: text, message: text })) },
  ),
  $defs: { stages, summary, interval },
}
