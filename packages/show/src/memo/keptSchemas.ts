import {
  cameraMatch,
  chromaticities,
  place,
  range,
  readings,
  warning,
  wholeEncoding,
} from '@isochip/core/shapes'
import { inputFile, lutReport } from '@isochip/report/shapes'
import * as z from 'zod'

/*
 * What is kept from run to run, as far as it is used again. Members that are not named pass: entries of other sources
 * are not looked up at all.
 */

const point = z.tuple([z.number(), z.number()])
const sha256 = inputFile.shape.sha256
const warnings = z.array(warning)
const bits = z.int().min(8).max(16)

export const keptShot = z.looseObject({
  readings,
  bits,
  warnings,
  areas: z.array(
    z.looseObject({ patch: z.string(), quad: z.tuple([point, point, point, point]), centre: point }),
  ),
})

export const keptFit = z.looseObject({
  matches: z.array(
    z.looseObject({
      camera: z.string(),
      setup: z.string(),
      source: z.looseObject({ spec: wholeEncoding, primaries: chromaticities, range }),
      bits,
      readings,
      match: cameraMatch,
      inputs: z.array(inputFile),
    }),
  ),
  failures: z.array(z.looseObject({ code: z.string(), message: z.string(), place })),
})

const sums = z.map(z.string(), sha256)
const picture = z.looseObject({ uri: z.string(), width: z.int(), height: z.int() })

export const keptFinish = z.looseObject({
  lattice: lutReport.omit({ files: true }),
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
