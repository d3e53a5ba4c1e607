import { createHash } from 'node:crypto'
import { readFile } from 'node:fs/promises'
import {
  type Chart,
  type Encoding,
  IsochipError,
  type Place,
  type Readings,
  type Warning,
} from '@isochip/core'
import {
  type ChartMap,
  type Corners,
  type Frame,
  findChart,
  type PatchArea,
  parseReadings,
  sampleChart,
} from '@isochip/frames'
import { decodeFrame } from '@isochip/frames/node'
import type { InputFile } from '@isochip/report'
import { expandFrames } from '../files/expandFrames.ts'
import { fromShow, portable } from '../files/filePaths.ts'
import { reduceFrame } from '../pictures/reduceFrame.ts'
import { withPlace } from '../plan/planShow.ts'
import type { FramesShot, ReadingsShot } from '../showFile/show.ts'

/** What a shot gave, and what the pictures of it are made from. */
export interface ShotReadings {
  readonly camera: string
  readonly setup: string
  readonly readings: Readings
  /** Bits of the recording, 8…16. */
  readonly bits: number
  readonly inputs: readonly InputFile[]
  readonly warnings: readonly Warning[]
  /** The first frame, reduced, with the sampled areas in its pixels. Frames only. */
  readonly picture?: { readonly frame: Frame; readonly areas: readonly PatchArea[] }
}

export interface ShotContext {
  readonly chart: Chart
  readonly encoding: Encoding
  readonly camera: string
  /** Folder of the show file. */
  readonly folder: string
  /** Place of the shot in the show file. */
  readonly place: Place
  readonly signal?: AbortSignal
}

/** Longest side of the picture that is kept of a frame. */
const pictureSide = 1600
/** Where the recording is not known by its file: readings, and frames of floats. */
const commonBits = 10

const sha256 = (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex')

/**
 * Reads one shot: its readings file, or its frames, which are decoded and sampled.
 *
 * @throws IsochipError with camera, setup, and the file that is at fault
 */
export async function readShot(shot: FramesShot | ReadingsShot, context: ShotContext): Promise<ShotReadings> {
  try {
    return shot.kind === 'readings' ? await fromReadings(shot, context) : await fromFrames(shot, context)
  } catch (cause) {
    const { camera, folder } = context
    const error = withPlace(cause, { ...context.place, camera, setup: shot.setup })
    // Files are named from the show's folder in all that is written; who reads an error looks for them from here.
    if (!(error instanceof IsochipError) || error.place.file === undefined || error.place === context.place)
      throw error
    if (error.place.file === context.place.file) throw error
    throw new IsochipError(error.code, error.message, {
      ...(error.hint === undefined ? {} : { hint: error.hint }),
      place: { ...error.place, file: fromShow(folder, error.place.file) },
      cause: error.cause,
    })
  }
}

async function fromReadings(shot: ReadingsShot, context: ShotContext): Promise<ShotReadings> {
  const { camera, folder, chart, place } = context
  const path = fromShow(folder, shot.readings)
  const bytes = await readFile(path).catch((cause: NodeJS.ErrnoException) => {
    const reason =
      cause.code === 'ENOENT'
        ? `there is no file ${shot.readings}`
        : `${shot.readings} cannot be read: ${cause.message}`
    throw new IsochipError('readings-invalid', reason, {
      hint: 'paths start at the folder of the show file; check the spelling, upper and lower case too',
      place,
      cause,
    })
  })
  const name = portable(folder, path)
  return {
    camera,
    setup: shot.setup,
    readings: parseReadings(bytes.toString('utf8'), name, chart),
    bits: commonBits,
    inputs: [{ path: name, sha256: sha256(bytes), camera, setup: shot.setup }],
    warnings: [],
  }
}

async function fromFrames(shot: FramesShot, context: ShotContext): Promise<ShotReadings> {
  const { camera, folder, chart, place, encoding, signal } = context
  const files = await expandFrames(shot.frames, folder, place)
  const frames: Frame[] = []
  const inputs: InputFile[] = []
  const warnings: Warning[] = []
  for (const file of files) {
    signal?.throwIfAborted()
    const name = portable(folder, file)
    const bytes = await readFile(file).catch((cause: Error) => {
      throw new IsochipError('frame-unreadable', `the frame cannot be read: ${cause.message}`, {
        hint: 'check its permissions and the disk',
        place: { file: name },
        cause,
      })
    })
    inputs.push({ path: name, sha256: sha256(bytes), camera, setup: shot.setup })
    const { warnings: told, ...frame } = await decodeFrame(bytes, { file: name })
    frames.push(frame)
    warnings.push(...told)
  }
  const where: { corners: Corners; map?: ChartMap } =
    shot.corners === undefined ? findChart(frames[0]!, [chart]) : { corners: shot.corners }
  const sample = sampleChart({
    frames,
    chart,
    range: encoding.range,
    corners: where.corners,
    ...mapOf(where),
  })
  const first = frames[0]!
  const { frame, block } = reduceFrame(first, pictureSide)
  const scaled = ([x, y]: readonly [number, number]) => [x / block, y / block] as const
  return {
    camera,
    setup: shot.setup,
    readings: sample.readings,
    bits: first.bits === 'float' ? commonBits : first.bits,
    inputs,
    warnings: [...warnings, ...sample.warnings],
    picture: {
      frame,
      areas: sample.areas.map(({ patch, quad, centre }) => ({
        patch,
        quad: [scaled(quad[0]), scaled(quad[1]), scaled(quad[2]), scaled(quad[3])],
        centre: scaled(centre),
      })),
    },
  }
}

/** The finer map of a chart that was found; corners given by hand come without. */
export const mapOf = (where: { readonly map?: ChartMap | undefined }): { map?: ChartMap } =>
  where.map === undefined ? {} : { map: where.map }
