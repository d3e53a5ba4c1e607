import * as z from 'zod'
import { controls } from './controls.ts'
import { wholeEncoding } from './encoding.ts'
import { requestedKind, view } from './fit.ts'
import { conversion, matchModel, modelKind } from './model.ts'
import { figure, mat3, three, vec3 } from './numbers.ts'
import { matrixTerms, turn, turnStage } from './turn.ts'
import { warning } from './warning.ts'

/** A colour difference at the three stages: as shot, balanced (lift and gain only), matched. */
export const stages = z.object({ before: figure, balanced: figure, after: figure }).meta({ id: 'stages' })

/** How one patch came out. All light is linear, in the working primaries. */
export const patchResult = z.object({
  patch: z.string(),
  /** As shot: decoded and converted to the working primaries, no match. */
  source: vec3,
  target: vec3,
  matched: vec3,
  dE00: stages,
  dE76: stages,
  dEITP: stages,
  /** ΔE00 of this patch under a match fitted without it. Absent where that fit was not possible. */
  leaveOneOut: figure.exactOptional(),
  /** Weight in the fit; 0 for a patch that was left out, below 1 for one that does not fit the others. */
  weight: z.number(),
  /** Why the patch had no part in the fit. */
  excluded: z.string().exactOptional(),
})

/** Mean, 95th percentile (linear interpolation between ranks) and worst of ΔE00 over the patches used. */
export const summary = z
  .object({
    mean: figure,
    p95: figure,
    max: figure,
    /** Name of the worst patch. */
    worst: z.string(),
  })
  .meta({ id: 'summary' })

export const summaries = z.object({
  before: summary,
  balanced: summary,
  after: summary,
  leaveOneOut: summary.exactOptional(),
})

/** One parameter's 95 % interval. */
export const interval = z
  .object({ standardError: figure, low: figure, high: figure })
  .meta({ id: 'interval' })

/** Intervals of the parameters of a linear kind, in the shape of the parameters. */
export const intervals = z.object({
  lift: three(interval),
  gain: three(interval),
  matrix: three(three(interval)),
})

/**
 * `noise` of the readings; `clipping`, flagged or not; `unevenness`: uneven light, or veiling glare on one side; `curve`:
 * the transfer curve; `foreign`: patches that are not what the chart shows there (glare, dirt, two swapped); `spectral`:
 * sensor metamerism, what no lift, gain and matrix removes; `undetermined`: no pattern tells.
 */
export const budgetPart = z
  .enum(['noise', 'clipping', 'unevenness', 'curve', 'foreign', 'spectral', 'undetermined'])
  .meta({ id: 'budgetPart' })

/** What the remaining colour difference is made of, as shares of the mean ΔE00 after the match; they add up to 1. */
export const residualBudget = z.object({
  noise: figure,
  clipping: figure,
  unevenness: figure,
  curve: figure,
  foreign: figure,
  spectral: figure,
  undetermined: figure,
  /** The largest part that something can be done about, from 8 % of the mean on (noise from 25 %); else the largest. */
  limit: budgetPart,
  /** Causes that explain the residuals about as well as `limit`: they are not told apart. */
  or: z.array(budgetPart).exactOptional(),
} satisfies Record<z.output<typeof budgetPart> | 'limit' | 'or', z.ZodType>)

/** The light across the chart relative to the target, as a smooth field. */
export const evenness = z.object({
  /** Largest minus smallest over the patches, in stops. */
  stops: figure,
  /** Standard error of that, in stops. */
  standardError: figure,
  /** Stops relative to the chart's mean, in the chart's patch order. */
  field: z.array(figure),
  /** Was it divided out of the readings before the match? */
  divided: z.boolean(),
})

/** ΔE00 to be expected on materials that are not on the chart. */
export const expectedDifference = z.object({
  mean: figure,
  /** Of a hundred such materials about five are farther off. */
  p95: figure,
  /**
   * What it rests on. `spectra`: on what camera and target are expected to see of other reflectances, which the chart's
   * known spectra tell as long as light is linear. `left-out`: on leave-one-out alone, and what that is off by as a rule.
   */
  basis: z.enum(['spectra', 'left-out']),
})

/** What the fit says of itself. */
export const diagnosis = z.object({
  /** Patches that took part. */
  patchesUsed: z.number(),
  /** Free parameters of the model. */
  parameters: z.number(),
  /** Numerical rank of the (column-scaled) design matrix, and its number of columns. */
  rank: z.number(),
  columns: z.number(),
  /** Condition number of that matrix: ratio of the largest to the smallest singular value. */
  condition: figure,
  objective: z.enum(['linear', 'perceptual']),
  iterations: z.number(),
  converged: z.boolean(),
  /** Why the iteration stopped. */
  stopped: z.string(),
  /** Root mean square of the noise in each output channel over that in the (white-balanced) input; and for luminance. */
  noiseAmplification: z.object({ channels: three(figure), luminance: figure }),
  /** 95 % intervals, for the linear kinds where the patches carry them. */
  intervals: intervals.exactOptional(),
  budget: residualBudget.exactOptional(),
  evenness: evenness.exactOptional(),
  /** ΔE00 to be expected on materials that are not on the chart: the figure to believe. */
  expected: expectedDifference.exactOptional(),
  /** For `auto`: the mean leave-one-out ΔE00 of every kind that the patches carry. */
  candidates: z
    .array(z.object({ kind: modelKind, leaveOneOut: figure, standardError: figure }))
    .exactOptional(),
})

/** A term of a correction with its 95 % interval. */
export const curveTerm = z.object({ value: figure, ...interval.shape }).meta({ id: 'curveTerm' })

/**
 * The curve that was fitted together with a match: light x of the base curve becomes x · exp(Σ cₖ·uᵏ), k = 1 … 4, u half
 * the logarithm of (x + m/20) / (m + m/20), m the light `middle`; c the common terms and those of the channel added.
 */
export const curveCorrection = z.object({
  /** The base curve: the declared one, or one measured on the grey scale. */
  kind: z.enum(['corrected', 'measured']),
  /** The recording's encoding as it was found to be: what `source` was decoded with. */
  encoding: wholeEncoding,
  middle: figure,
  common: z.array(curveTerm),
  channels: three(z.array(curveTerm)),
})

/**
 * Why the declared encoding is in doubt: what a correction of its curve would leave, and other encodings that explain
 * the patches better.
 */
export const encodingDoubt = z.object({
  /** How much better a corrected curve explains the patches, as a multiple of the most that right curves ever gave. */
  statistic: figure,
  /** Where black reads less than no light: how much, as a share of white, below 0. */
  black: figure.optional(),
  /** Where dark readings are off what any sensor sees of the chart, as a curve has it that is too low or too high near black. */
  toe: z.enum(['crushed', 'lifted']).optional(),
  /** Mean ΔE00 as declared: of a lift-gain-matrix match, and of patches that the match has not seen. */
  declared: z.object({ mean: figure, leaveOneOut: figure }),
  /** What the recording might be instead, with the mean ΔE00 that a lift-gain-matrix match would leave; best first. */
  alternatives: z.array(
    z.object({ encoding: wholeEncoding.pick({ transfer: true, range: true }), mean: figure }),
  ),
  /** Ways to fit, with the mean ΔE00 of patches that they have not seen: each better than those before it. */
  remedies: z.array(
    z.object({ curve: z.enum(['corrected', 'measured']), model: requestedKind, leaveOneOut: figure }),
  ),
})

/** One primary or secondary of BT.709 before the match against what the match makes of it, on the vectorscope. */
export const primaryShift = z.object({
  name: z.enum(['red', 'yellow', 'green', 'cyan', 'blue', 'magenta']),
  /** Turn of the hue on the vectorscope that the match makes, degrees, anticlockwise positive. */
  hue: figure,
  /** Ratio of the distance from the centre after to before. */
  saturation: figure,
})

/** A match in the words of the set: what would have to change at the camera for it to need no match. */
export const onSet = z.object({
  /** Stops by which the camera has to open (positive) or close: log2 of the green gain. */
  exposure: figure,
  /** Gains of red and blue against green that balance the camera's white to the target's. */
  whiteBalance: z.object({
    redOverGreen: figure,
    blueOverGreen: figure,
    /** The same as a shift of the colour temperature in mired (positive: the picture has to get warmer) … */
    mired: figure,
    /** … and across the Planckian locus, in 10⁻³ Duv (positive: it has to get greener). */
    tint: figure,
  }),
  /** What to add to each channel's black, in percent of a diffuse white's linear light. */
  blackBalance: three(figure),
  /** The six off-diagonal terms, in the camera's own primaries, as a camera's linear matrix is set by. */
  matrix: matrixTerms,
  primaries: z.array(primaryShift),
})

/** What to set at the camera so that it needs no LUT, as far as one shot tells: by the line-up's model of a camera's chain. */
export const setting = z.object({
  turn,
  /** The controls in the order in which to turn them, with the mean ΔE00 expected of whoever stops after each; none where nothing is worth it. */
  stages: z.array(turnStage),
  /** Mean ΔE00 as shot, and expected after all of it. */
  now: figure,
  expected: figure,
  /** How the camera's controls move, where the show says it: the turn is then one that can be set. */
  controls: controls.exactOptional(),
})

/** The match of a camera: fitted to the target. */
export const fittedMatch = z.object({
  kind: z.literal('fitted'),
  model: matchModel,
  /** What was asked for; differs from `model.kind` for `auto` only. */
  requested: requestedKind,
  /** Camera primaries → working primaries as declared: what `source` was converted with. */
  declared: mat3,
  /** On which light the colour differences are computed. */
  view,
  patches: z.array(patchResult),
  summary: summaries,
  diagnosis,
  /** Where the curve was not taken as declared. */
  curve: curveCorrection.exactOptional(),
  /** Where the declared encoding does not explain the patches. */
  encodingDoubt: encodingDoubt.exactOptional(),
  /** The match in the words of the set, as numbers. */
  onSet,
  /** Absent where it was not asked for. */
  setting: setting.exactOptional(),
  warnings: z.array(warning),
})

/** A patch of the reference camera: linear light, in the working primaries. */
export const referencePatch = z.object({
  patch: z.string(),
  /** As shot: decoded and converted to the working primaries. It is what the other cameras go to. */
  source: vec3,
  /** Why the patch is no target for the others. */
  excluded: z.string().exactOptional(),
})

/** The reference camera, which the others are matched to: nothing is fitted, there is nothing to judge. */
export const referenceMatch = z.object({
  kind: z.literal('reference'),
  /** Its LUT converts the encoding and the primaries, and changes nothing else. */
  model: conversion,
  patches: z.array(referencePatch),
  warnings: z.array(warning),
})

/** One camera in one setup. */
export const cameraMatch = z.discriminatedUnion('kind', [fittedMatch, referenceMatch])
