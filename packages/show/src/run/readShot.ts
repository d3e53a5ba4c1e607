import { createHash } from 'node:crypto'
import { readFile } from 'node:fs/promises'
import { type Chart, IsochipError, type Place, type Readings, type Warning } from '@isochip/core'
import {
  type ChartMap,
  type Corners,
  type DecodedFrame,
  type Frame,
  findChart,
  type PatchArea,
  parseReadings,
  sampleChart,
} from '@isochip/frames'
import type { InputFile } from '@isochip/report'
import { ContentCache } from '../files/contentCache.ts'
import { expandFrames } from '../files/expandFrames.ts'
import { fromShow, portable } from '../files/filePaths.ts'
import { reduceFrame } from '../pictures/reduceFrame.ts'
import { type CameraEncoding, isMeasured } from '../plan/measuredEncoding.ts'
import { withPlace } from '../plan/planShow.ts'
import type { FramesShot, ReadingsShot } from '../showFile/show.ts'
import { checkCancelled } from './checkCancelled.ts'
import { type FrameFile, openFrame, readFrameFile } from './openFrame.ts'
import { shotCautions } from './shotCautions.ts'

/** What a shot gave, and what the pictures of it are made from. */
export interface ShotReadings {
  readonly camera: string
  readonly setup: string
  readonly readings: Readings
  /** Bits of the recording, 8…16. */
  readonly bits: number
  readonly inputs: readonly InputFile[]
  readonly warnings: readonly Warning[]
  /** What the pictures of the shot are made from, and a key of it. Frames only. */
  readonly picture?: { readonly key: string; take(): Promise<ShotPicture> }
  /** Was it read in an earlier run? */
  readonly cached: boolean
}

/** The first frame, reduced, with the sampled areas in its pixels. */
interface ShotPicture {
  readonly frame: Frame
  readonly areas: readonly PatchArea[]
}

export interface ShotContext {
  readonly chart: Chart
  readonly encoding: CameraEncoding
  readonly camera: string
  /** Folder of the show file. */
  readonly folder: string
  /** Place of the shot in the show file. */
  readonly place: Place
  readonly cache?: ContentCache
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
    cached: false,
    inputs: [{ path: name, sha256: sha256(bytes), camera, setup: shot.setup }],
    warnings: [],
  }
}

/** What is kept of a shot: all but the pictures, which are made from the frame again if they have to be. */
interface KeptShot {
  readonly readings: Readings
  readonly bits: number
  readonly warnings: readonly Warning[]
  /** In pixels of the frame. */
  readonly areas: readonly PatchArea[]
}

async function fromFrames(shot: FramesShot, context: ShotContext): Promise<ShotReadings> {
  const { camera, folder, chart, place, encoding, signal, cache } = context
  const { setup, corners } = shot
  const files: FrameFile[] = []
  for (const path of await expandFrames(shot.frames, folder, place)) {
    checkCancelled(signal)
    const file = await readFrameFile(path, portable(folder, path))
    // With a cache to look into first, the bytes of many frames would be kept for nothing.
    const { bytes: _, ...light } = file
    files.push(cache === undefined || files.length === 0 ? file : light)
  }
  const inputs = files.map(({ name, sha256 }): InputFile => ({ path: name, sha256, camera, setup }))
  const key = ContentCache.key('shot', chart, encoding.spec, corners, inputs)
  const kept = await cache?.get<KeptShot>(key)
  if (kept !== undefined) {
    const take = async () => picture(await openFrame(files[0]!), kept.areas)
    const { readings, bits, warnings } = kept
    return { camera, setup, readings, bits, inputs, warnings, picture: { key, take }, cached: true }
  }
  const frames: DecodedFrame[] = []
  for (const file of files) {
    checkCancelled(signal)
    frames.push(await openFrame(file))
  }
  const where: { corners: Corners; map?: ChartMap } =
    corners === undefined ? findChart(frames[0]!, [chart]) : { corners }
  const sample = sampleChart({
    frames,
    chart,
    range: encoding.range,
    corners: where.corners,
    ...mapOf(where),
  })
  const first = frames[0]!
  const bits = first.bits === 'float' ? commonBits : first.bits
  const warnings = [
    ...frames.flatMap((frame) => frame.warnings),
    ...sample.warnings,
    // How the chart was shot is judged on light, of which without a curve nothing is known yet.
    ...(isMeasured(encoding) ? [] : shotCautions(sample.areas, chart, encoding)),
  ]
  const areas = sample.areas.map(({ patch, quad, centre }) => ({ patch, quad, centre }))
  await cache?.put(key, { readings: sample.readings, bits, warnings, areas } satisfies KeptShot)
  const taken = picture(first, areas)
  return {
    camera,
    setup,
    readings: sample.readings,
    bits,
    inputs,
    warnings,
    picture: { key, take: () => Promise.resolve(taken) },
    cached: false,
  }
}

/** Only this much of a frame is kept while its setup is matched. */
function picture(whole: Frame, areas: readonly PatchArea[]): ShotPicture {
  const { frame, block } = reduceFrame(whole, pictureSide)
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

/** The finer map of a chart that was found; corners given by hand come without. */
export const mapOf = (where: { readonly map?: ChartMap | undefined }): { map?: ChartMap } =>
  where.map === undefined ? {} : { map: where.map }
