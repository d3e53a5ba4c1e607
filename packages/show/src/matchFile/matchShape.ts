import {
  conversion,
  fitOptions,
  fittedMatch,
  primaries,
  referencePatch,
  target,
  warning,
  wholeEncoding,
} from '@isochip/core/shapes'
import { colourSpaces, inputFile } from '@isochip/report/shapes'
import * as z from 'zod'

/*
 * What a reader of match files may rely on. Members that are not named here may come with a later version and are
 * passed over; a change of what is named comes with another number in `isochip`.
 */

/** Where a match comes from: enough to tell whether it still belongs to its frames, nothing that time changes. */
export const provenance = z.object({
  version: z.string(),
  inputs: z.array(inputFile),
  options: z.object({ fit: z.object(fitOptions.shape), chart: z.string() }),
})

const common = {
  isochip: z.literal('match/3'),
  title: z.string(),
  camera: z.string(),
  setup: z.string(),
  /** The setup whose match this is, where the camera shot no chart in its own. */
  borrowed: z.string().exactOptional(),
  sourceEncoding: wholeEncoding,
  outputEncoding: wholeEncoding,
  /** Bits of the recording: they set where a narrow range has its ends. */
  bits: z.int().min(8).max(16),
  working: primaries,
  target,
  spaces: colourSpaces.describe('The field by whose primaries each colour, linear light, is to be read.'),
}

const fittedFile = z
  .object({
    kind: z.literal('fitted'),
    ...common,
    ...fittedMatch.omit({ kind: true, declared: true }).shape,
    provenance,
  })
  .describe('A camera that was matched to the target.')

const referenceFile = z
  .object({
    kind: z.literal('reference'),
    ...common,
    model: conversion,
    patches: z.array(referencePatch),
    warnings: z.array(warning),
    provenance,
  })
  .describe(
    'The reference camera: its LUT converts the encoding and the primaries, and changes nothing else.',
  )

export const matchShape = z
  .discriminatedUnion('kind', [fittedFile, referenceFile])
  .meta({ title: 'isochip match file' })

/** What a file must begin with to be read: this form, or one of earlier builds that can be brought to it. */
export const matchHeading = z.object({ isochip: z.enum(['match/3', 'match/2', 'match/1']) })
