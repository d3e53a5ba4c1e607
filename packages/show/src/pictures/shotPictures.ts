import type { MatchModel, Primaries } from '@isochip/core'
import { drawSampling } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import type { CameraPictures } from '@isochip/report'
import { markPng } from '../files/ownMark.ts'
import type { SetupMatch } from '../match/matchSetup.ts'
import { jpegUri } from './jpegUri.ts'
import { reduceFrame } from './reduceFrame.ts'
import { screenFrame } from './screenFrame.ts'
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
  /** Pictures for the report too? */
  readonly withPage: boolean
}

/** Longest side of the pictures in the report. */
const pageSide = 480

/** The pictures of one shot. */
export async function shotPictures(
  source: PictureSource,
  one: SetupMatch,
  { working, clippedShare, withPage }: DrawShotOptions,
): Promise<ShotPictures> {
  const { readings, match, source: encoding } = one
  const clipped = readings.patches
    .filter((reading) => (reading.clipped ?? 0) > clippedShare)
    .map(({ patch }) => patch)
  const excluded = match.patches.filter((patch) => patch.excluded !== undefined).map(({ patch }) => patch)
  const taken = await takePicture(source)
  const drawn = drawSampling(taken.frame, taken.areas, { clipped, excluded })
  const png = markPng(await encodeFrame(drawn, { format: 'png' }))
  let page: CameraPictures | undefined
  if (withPage) {
    const { frame } = reduceFrame(taken.frame, pageSide)
    const asShot: MatchModel = { kind: 'gain', lift: [0, 0, 0], gain: [1, 1, 1], matrix: match.declared }
    const before = await jpegUri(screenFrame(frame, encoding, asShot, working), 'colour')
    page = {
      sampling: await jpegUri(reduceFrame(drawn, 2 * pageSide).frame, 'place'),
      before,
      after: one.isTarget
        ? before
        : await jpegUri(screenFrame(frame, encoding, match.model, working), 'colour'),
    }
  }
  return { png, ...(page === undefined ? {} : { page }) }
}
