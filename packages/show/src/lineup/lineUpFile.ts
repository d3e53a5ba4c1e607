import { readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { IsochipError } from '@isochip/core'
import { encodingDoubt, readings, turn, turnStage } from '@isochip/core/shapes'
import * as z from 'zod'
import { OutputFolder } from '../files/outputFolder.ts'

const roundSchema = z.object({
  files: z
    .array(z.object({ path: z.string(), sha256: z.string() }))
    .meta({ description: 'the frames of this shot, from the folder of the show' }),
  readings,
  now: z.number().meta({ description: 'mean ΔE00 of this shot against the target' }),
  withLut: z.number().meta({ description: 'mean ΔE00 that a LUT of this shot would leave' }),
  expected: z.number().meta({ description: 'mean ΔE00 expected once the advice is followed' }),
  stages: z
    .array(turnStage)
    .meta({ description: 'the mean ΔE00 expected of whoever stops after this group of controls' }),
  asked: turn.meta({ description: 'what was to be turned after this shot' }),
  encodingDoubt: encodingDoubt
    .optional()
    .meta({ description: 'why the declared encoding is in doubt, on which the advice rests' }),
  grey: z
    .object({
      black: z.literal('either').exactOptional().meta({
        description: 'what is asked for at black may be flare as well: both look alike on this grey scale',
      }),
      knee: z.number().exactOptional().meta({
        description: 'share of the signal that the lightest grey is under what the others lead to expect',
      }),
      kneeGain: z.number().exactOptional().meta({
        description:
          'how much less the mean ΔE00 is expected to be with the knee off and nothing else turned',
      }),
    })
    .optional()
    .meta({ description: 'what the grey scale says besides' }),
  done: z
    .number()
    .int()
    .optional()
    .meta({ description: 'how many groups of controls were turned after it, as the next shot told' }),
  touched: z
    .boolean()
    .optional()
    .meta({ description: 'whether the camera was then touched otherwise than was asked' }),
})

/** The rounds of a line-up, as they are kept beside the show. */
export const lineUpSchema = z.object({
  isochip: z.literal('lineup/1'),
  setup: z.string(),
  cameras: z.array(
    z.object({
      camera: z.string(),
      past: z
        .array(z.number())
        .optional()
        .meta({ description: 'mean ΔE00 of the rounds before those, of which nothing else is kept' }),
      rounds: z.array(roundSchema),
    }),
  ),
})

export type LineUpFile = z.infer<typeof lineUpSchema>
export type KeptRound = z.infer<typeof roundSchema>

/** Its name, in the folder of the show. */
const lineUpFileName = 'lineup.json'

/**
 * The rounds that are kept beside a show; undefined where there are none.
 *
 * @throws IsochipError `lineup-invalid` where the file is there and is none of ours
 */
export async function readLineUpFile(folder: string): Promise<LineUpFile | undefined> {
  const file = join(folder, lineUpFileName)
  const text = await readFile(file, 'utf8').catch((cause: NodeJS.ErrnoException) => {
    if (cause.code === 'ENOENT') return undefined
    throw new IsochipError(
      'lineup-invalid',
      `the rounds kept in ${lineUpFileName} cannot be read: ${cause.message}`,
      {
        place: { file },
        cause,
      },
    )
  })
  if (text === undefined) return undefined
  try {
    return lineUpSchema.parse(JSON.parse(text))
  } catch (cause) {
    throw new IsochipError('lineup-invalid', `${lineUpFileName} does not hold the rounds of a line-up`, {
      hint: 'move it away to begin a new line-up, or give back the one that isochip wrote',
      place: { file },
      cause,
    })
  }
}

/** Writes the rounds, whole or not at all. */
export async function writeLineUpFile(folder: string, kept: LineUpFile): Promise<void> {
  const out = await OutputFolder.open(folder, [lineUpFileName])
  try {
    await out.stage(lineUpFileName, `${JSON.stringify(kept, null, 1)}\n`)
    await out.commit()
  } finally {
    await out.discard()
  }
}
