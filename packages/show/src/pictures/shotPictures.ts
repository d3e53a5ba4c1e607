import { given, type LightModel, type Primaries } from '@isochip/core'
import { drawSampling } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import type { CameraPictures } from '@isochip/report'
import { markPng } from '../files/ownMark.ts'
import type { SetupMatch } from '../fit/matchSetup.ts'
import { jpegUris } from './jpegUris.ts'
import type { PageBudget } from './pageBudget.ts'
import { reduceFrame } from './reduceFrame.ts'
import { screenFrames } from './screenFrames.ts'
import { type PictureSource, takePicture } from './takePicture.ts'

export interface ShotPictures {
  /** The frame with the sampled areas drawn on it, as a PNG file. */
  readonly png: Uint8Array
  /** For the report: sampling, before and after, as a screen shows them. */
  readonly page?: CameraPictures
}

export interface DrawShotOptions {
  readonly working: Primaries
  /** Share of clipped pixels beyond which a patch is marked. */
  readonly clippedShare: number
  /** What the pictures for the report may take; none without. */
  readonly budget?: PageBudget
}

/** The picture of the sampled areas has this share of what a shot may take; the frames have the rest. */
const samplingShare = 0.27

/** The pictures of one shot. */
export async function shotPictures(
  source: PictureSource,
  one: SetupMatch,
  { working, clippedShare, budget }: DrawShotOptions,
): Promise<ShotPictures> {
  const { readings, match, source: encoding } = one
  const clipped = readings.patches
    .filter((reading) => (reading.clipped ?? 0) > clippedShare)
    .map(({ patch }) => patch)
  const excluded = match.patches.filter((patch) => patch.excluded !== undefined).map(({ patch }) => patch)
  const taken = await takePicture(source)
  const light = encoding.spec.transfer === 'linear'
  const drawn = drawSampling(taken.frame, taken.areas, { clipped, excluded, light })
  const png = markPng(await encodeFrame(drawn, { format: 'png' }))
  let page: CameraPictures | undefined
  if (budget !== undefined) {
    const { side, bytes } = budget
    const { frame } = reduceFrame(taken.frame, side)
    const stages: readonly LightModel[] =
      match.kind === 'reference'
        ? [match.model]
        : [{ kind: 'conversion', matrix: match.declared }, match.model]
    const [before, after = before] = await jpegUris(
      screenFrames(frame, encoding, stages, working),
      'colour',
      ((1 - samplingShare) * bytes * stages.length) / 2,
    )
    const [sampling] = await jpegUris([reduceFrame(drawn, 2 * side).frame], 'place', samplingShare * bytes)
    page = { sampling: sampling!, before: before!, after: after! }
  }
  return given({ png, page })
}
