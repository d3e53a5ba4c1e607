import type { Frame, PatchArea } from '@isochip/frames'
import { type FootageReading, openFrame } from '../read/openFrame.ts'
import { reduceFrame } from './reduceFrame.ts'

/** The first frame of a shot, reduced, with the sampled areas in its pixels. */
export interface ShotPicture {
  readonly frame: Frame
  readonly areas: readonly PatchArea[]
}

/** What the pictures of a shot are made from. Plain data, so that it can go to another thread. */
export interface PictureSource extends FootageReading {
  /** Changes with whatever shows in the pictures. */
  readonly key: string
  readonly path: string
  /** As messages have it. */
  readonly name: string
  /** In pixels of the frame. */
  readonly areas: readonly PatchArea[]
  /** The frame, reduced, where it is still at hand. */
  readonly reduced?: { readonly frame: Frame; readonly block: number }
}

/** Longest side of the picture that is kept of a frame. */
const pictureSide = 1600

/** Only this much of a frame is kept while its setup is matched. */
export const reducedFrame = (whole: Frame): { frame: Frame; block: number } =>
  reduceFrame(whole, pictureSide, true)

/**
 * The picture that a source stands for; where it is not at hand the frame is decoded again.
 *
 * @throws IsochipError `frame-unreadable`
 */
export async function takePicture(source: PictureSource): Promise<ShotPicture> {
  const { areas, reduced } = source
  const { frame, block } = reduced ?? reducedFrame(await openFrame(source, source))
  const scaled = ([x, y]: readonly [number, number]) => [x / block, y / block] as const
  return {
    frame,
    areas: areas.map(({ patch, quad, centre }) => ({
      patch,
      quad: [scaled(quad[0]), scaled(quad[1]), scaled(quad[2]), scaled(quad[3])],
      centre: scaled(centre),
    })),
  }
}
