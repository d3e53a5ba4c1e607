import * as z from 'zod'
import { summary } from './match.ts'
import { figure, mat3, numbers, three } from './numbers.ts'

/** What takes one camera's responses to another's, or to the observer's, and what nothing linear does. */
export const responseMap = z
  .object({
    from: z.string(),
    to: z.string(),
    /** Patches that serve in both: they neither clip nor sit in the noise. */
    patches: z.int(),
    /** Least squares in linear light, each camera in its own primaries, the observer in XYZ: to ≈ matrix · from. */
    matrix: mat3,
    /** 95 % of each term, low and high, by a wild bootstrap of 500 fits: `bootstrapMatrix`. */
    interval: z.array(z.array(z.tuple([figure, figure]))),
    rank: z.int(),
    condition: figure,
    /** Root mean square of the noise in the output's channels over that of the input: the row norms of the matrix. */
    noiseAmplification: three(z.number()),
    /** ΔE00 (scene light) that is left by the matrix with the least ΣΔE00²: no linear map does better in that. */
    remaining: summary,
  })
  .meta({ id: 'responseMap' })

export const responsePair = z.object({
  a: z.string(),
  b: z.string(),
  /** Between the spaces of the responses, in degrees. All zero: the cameras are one but for a matrix. */
  principalAngles: numbers,
})

/** A camera against the standard observer, whose responses the chart's reference values are. */
export const observerResponse = z.object({
  camera: z.string(),
  /** Camera → XYZ, relative to D65, Y = 1 for a perfect diffuser. */
  toObserver: responseMap,
  fromObserver: responseMap,
  /** Between the spaces of the responses, in degrees. All zero: a matrix makes the camera an observer. */
  principalAngles: numbers,
})

/** How close a camera comes to the eye of the standard observer, by the patches of a chart. */
export const sensitivityMetamerism = z.object({
  /** 100 − 5.5 · mean ΔE*ab; 100 where a matrix makes the camera an observer. */
  index: z.number(),
  meanDE76: z.number(),
  maxDE76: z.number(),
  patches: z.int(),
})

export const responseComparison = z.object({
  /** Both ways for each pair of cameras. */
  maps: z.array(responseMap),
  pairs: z.array(responsePair),
  /** Empty where the chart has no reference values. */
  observer: z.array(observerResponse),
  /** By camera; empty where the chart has no reference values. */
  metamerism: z.record(z.string(), sensitivityMetamerism),
  /** Pairs that could not be compared, and why. */
  cautions: z.array(z.string()),
})
