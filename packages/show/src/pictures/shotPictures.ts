import type { MatchModel, Primaries } from '@isochip/core'
import { drawSampling, type Frame, type PatchArea } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import type { CameraPictures } from '@isochip/report'
import { markPng } from '../files/ownMark.ts'
import type { SetupMatch } from '../match/matchSetup.ts'
import { jpegUri } from './jpegUri.ts'
import { reduceFrame } from './reduceFrame.ts'
import { screenFrame } from './screenFrame.ts'

export interface ShotPicture {
  readonly frame: Frame
  readonly areas: readonly PatchArea[]
}

/** Longest side of the pictures in the report. */
const pageSide = 480

/** The frame with the sampled areas drawn on it, as PNG, and reduced for the report. */
export async function samplingPictures(picture: ShotPicture, one: SetupMatch, clippedShare: number) {
  const clipped = one.readings.patches
    .filter((reading) => (reading.clipped ?? 0) > clippedShare)
    .map(({ patch }) => patch)
  const excluded = one.match.patches.filter((patch) => patch.excluded !== undefined).map(({ patch }) => patch)
  const drawn = drawSampling(picture.frame, picture.areas, { clipped, excluded })
  return { png: markPng(await encodeFrame(drawn, { format: 'png' })), drawn }
}

/** Before, after and target, as a screen shows them, for the report. */
export async function reportPictures(
  picture: ShotPicture,
  drawn: Frame,
  one: SetupMatch,
  working: Primaries,
  target: Frame | undefined,
): Promise<{ pictures: CameraPictures; shown: Frame }> {
  const { frame } = reduceFrame(picture.frame, pageSide)
  const asShot: MatchModel = { kind: 'gain', lift: [0, 0, 0], gain: [1, 1, 1], matrix: one.match.declared }
  const before = screenFrame(frame, one.source, asShot, working)
  const after = one.isTarget ? before : screenFrame(frame, one.source, one.match.model, working)
  const fits = target !== undefined && target.width === before.width && target.height === before.height
  return {
    shown: before,
    pictures: {
      sampling: await jpegUri(reduceFrame(drawn, 2 * pageSide).frame),
      before: await jpegUri(before),
      after: await jpegUri(after),
      ...(fits && !one.isTarget ? { target: await jpegUri(target) } : {}),
    },
  }
}
