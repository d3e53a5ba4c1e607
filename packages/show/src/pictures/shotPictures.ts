import type { MatchModel, Primaries } from '@isochip/core'
import { drawSampling } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import type { CameraPictures } from '@isochip/report'
import { ContentCache } from '../files/contentCache.ts'
import { markPng } from '../files/ownMark.ts'
import type { SetupMatch } from '../match/matchSetup.ts'
import type { ShotReadings } from '../run/readShot.ts'
import { jpegUri } from './jpegUri.ts'
import { reduceFrame } from './reduceFrame.ts'
import { screenFrame } from './screenFrame.ts'

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
  readonly cache?: ContentCache
}

/** Longest side of the pictures in the report. */
const pageSide = 480

interface KeptPictures {
  readonly png: string
  readonly page?: CameraPictures
}

/** The pictures of one shot: from an earlier run where nothing that shows in them has changed. */
export async function shotPictures(
  picture: NonNullable<ShotReadings['picture']>,
  one: SetupMatch,
  { working, clippedShare, withPage, cache }: DrawShotOptions,
): Promise<ShotPictures> {
  const { readings, match, source } = one
  const clipped = readings.patches
    .filter((reading) => (reading.clipped ?? 0) > clippedShare)
    .map(({ patch }) => patch)
  const excluded = match.patches.filter((patch) => patch.excluded !== undefined).map(({ patch }) => patch)
  const looks = withPage && [match.model, match.declared, source.spec, working]
  const key = ContentCache.key('pictures', picture.key, clipped, excluded, looks)
  const kept = await cache?.get<KeptPictures>(key)
  if (kept !== undefined) return { ...kept, png: Buffer.from(kept.png, 'base64') }

  const taken = await picture.take()
  const drawn = drawSampling(taken.frame, taken.areas, { clipped, excluded })
  const png = markPng(await encodeFrame(drawn, { format: 'png' }))
  let page: CameraPictures | undefined
  if (withPage) {
    const { frame } = reduceFrame(taken.frame, pageSide)
    const asShot: MatchModel = { kind: 'gain', lift: [0, 0, 0], gain: [1, 1, 1], matrix: match.declared }
    const before = await jpegUri(screenFrame(frame, source, asShot, working), 'colour')
    page = {
      sampling: await jpegUri(reduceFrame(drawn, 2 * pageSide).frame, 'place'),
      before,
      after: one.isTarget
        ? before
        : await jpegUri(screenFrame(frame, source, match.model, working), 'colour'),
    }
  }
  const whole = page === undefined ? {} : { page }
  await cache?.put(key, { png: Buffer.from(png).toString('base64'), ...whole } satisfies KeptPictures)
  return { png, ...whole }
}
