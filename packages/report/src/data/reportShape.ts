import {
  budgetPart,
  conversion,
  figure,
  fitOptions,
  fittedMatch,
  matrixTerms,
  primaries,
  referencePatch,
  target,
  three,
  view,
  warning,
  wholeEncoding,
} from '@isochip/core/shapes'
import * as z from 'zod'

/** Limits on ΔE00 after the match: mean and worst of the patches that took part. */
export const tolerance = z.object({ mean: z.number().positive(), max: z.number().positive() })

/** A file that a report or a match rests on. */
export const inputFile = z.object({
  /** As in the show file, or relative to it. */
  path: z.string(),
  /** Hexadecimal. */
  sha256: z.string().regex(/^[0-9a-f]{64}$/),
  camera: z.string().exactOptional(),
  setup: z.string().exactOptional(),
})

const meanAndMax = z.object({ mean: figure, max: figure })

/** What was written as a LUT, and by how much its interpolation differs from the match. */
export const lutReport = z.object({
  /** Paths relative to the report. */
  files: z.array(z.string()),
  /** Lattice points per axis; absent where nothing was sampled, as in a file that holds the steps of the match. */
  size: z.int().exactOptional(),
  /** ΔE00 between the exact match and the interpolated LUT. */
  interpolation: meanAndMax.exactOptional(),
  /**
   * What a LUT box makes of it that stores integers, and so cuts the nodes to 0…1: largest change of a channel in codes
   * of 10 bits, and share of the inputs that change by more than four. Absent where no node is beyond 0…1.
   */
  integers: z.object({ worst: figure, share: figure }).exactOptional(),
  /** Where an ASC CDL was fitted: ΔE00 between it and the match, over the patches and over the colours that the output holds. */
  cdl: z.object({ points: meanAndMax, colours: meanAndMax }).exactOptional(),
})

/** A match that was asked for and could not be made. */
export const failedMatch = z.object({
  camera: z.string(),
  setup: z.string(),
  /** Why, in words. */
  message: z.string(),
})

/** A reason why the figures of a match are not to be taken at their word. */
export const doubt = z.object({
  /** Stable, for programs. */
  code: z.string(),
  /** For people: what is in doubt, and why. */
  message: z.string(),
})

export const verdict = z.object({
  /**
   * `reference`: the reference camera, nothing to judge. `doubtful`: the figures are within tolerance, but there
   * is a reason not to believe them. `out`: they are not within.
   */
  state: z.enum(['reference', 'within', 'doubtful', 'out']),
  /** Which limits are exceeded. Equal to the limit is within. */
  exceeded: z.array(tolerance.keyof()),
  /** Why the figures are in doubt, whether they are within tolerance or not. */
  doubts: z.array(doubt),
  /** What the residual is made of most. Absent where the fit could not tell. */
  limit: budgetPart.exactOptional(),
})

export const levelsCheck = z.object({
  /** Lowest and highest of R′, G′ and B′ over the matched patches, nominal (0 = black, 1 = peak). */
  low: figure,
  high: figure,
  /** The same of Y′, weighted by the luminance of the output's primaries, as BT.709-6 and BT.2020-2 have it. */
  luma: z.object({ low: figure, high: figure }),
  /** Names of the patches that leave one of the preferred ranges, in chart order. */
  outside: z.array(z.string()),
})

/** How far two cameras are apart: mean ΔE00 over the patches that both have. */
export const pair = z.object({ a: z.string(), b: z.string(), before: figure, after: figure })

export const changedPart = z.enum(['exposure', 'white balance', 'black', 'matrix'])

/** How a camera stands to the target in one setup, against how it stood in its first. */
export const setupChange = z.object({
  camera: z.string(),
  /** Its first setup with a chart. */
  from: z.string(),
  to: z.string(),
  /** Stops; positive: brighter against the target than in the first. */
  exposure: figure,
  /** Red and blue against green, now over then; positive mired: warmer than then. */
  whiteBalance: z.object({ redOverGreen: figure, blueOverGreen: figure, mired: figure }),
  /** Per channel, in percent of a diffuse white; positive: lifted. */
  black: three(figure),
  /** The six matrix terms that the camera would have to be set by: now less then. */
  matrix: matrixTerms,
  /** What has changed by more than one lets pass: see `changeLimits`. */
  notable: z.array(changedPart),
})

const camera = {
  camera: z.string(),
  /** The setup whose match this is, where no chart was shot in this one. */
  borrowed: z.string().exactOptional(),
  verdict,
  sourceEncoding: wholeEncoding,
  outputEncoding: wholeEncoding,
  levels: levelsCheck,
  lut: lutReport.exactOptional(),
}

// On which light the figures are, and the conversion between the declared primaries, follow from the fields of the show.
const fittedCamera = z.object({ ...camera, ...fittedMatch.omit({ declared: true, view: true }).shape })

const referenceCamera = z.object({
  kind: z.literal('reference'),
  ...camera,
  model: conversion,
  patches: z.array(referencePatch),
  warnings: z.array(warning),
})

/** In which space each colour is: the field by whose primaries it, linear light, is to be read. */
export const colourSpaces = z.object({
  model: z.object({ from: z.literal('sourceEncoding'), to: z.literal('working') }),
  patches: z.object({
    source: z.literal('working'),
    target: z.literal('working'),
    matched: z.literal('working'),
  }),
})

/** What lineup.json beside the show says: mean ΔE00, without a LUT, of every shot of each camera. */
export const lineUpReport = z.object({
  setup: z.string(),
  cameras: z.array(
    z.object({
      camera: z.string(),
      trend: z.array(z.number()).min(1),
      /** What a LUT of the last shot would leave, and what is expected of the advice that it gave. */
      withLut: z.number(),
      expected: z.number(),
    }),
  ),
})

/**
 * `report.json`. Numbers have seven significant digits; a figure that does not exist is null. A later release may add
 * members; none goes or changes its meaning without another number in `isochip`.
 */
export const reportFile = z
  .object({
    isochip: z.literal('report/3'),
    version: z.string(),
    title: z.string(),
    chart: z.string(),
    working: primaries,
    spaces: colourSpaces,
    target,
    tolerance,
    view,
    fit: fitOptions.exactOptional(),
    verdict: z.object({
      within: z.boolean(),
      judged: z.int(),
      out: z.int(),
      doubtful: z.int(),
    }),
    setups: z.array(
      z.object({
        setup: z.string(),
        cameras: z.array(z.discriminatedUnion('kind', [fittedCamera, referenceCamera])),
        pairs: z.array(pair),
      }),
    ),
    failed: z.array(failedMatch).exactOptional(),
    changes: z.array(setupChange),
    /** How the cameras were lined up before the show. */
    lineUp: lineUpReport.exactOptional(),
    inputs: z.array(inputFile),
  })
  .meta({ title: 'isochip report' })
