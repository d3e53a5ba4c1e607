import { createHash } from 'node:crypto'
import { readFile } from 'node:fs/promises'
import {
  type Chart,
  given,
  IsochipError,
  isIsochipError,
  type Place,
  type Readings,
  type Warning,
} from '@isochip/core'
import { type DecodedFrame, parseReadings } from '@isochip/frames'
import type { InputFile } from '@isochip/report'
import { fromShow, portable } from '../files/filePaths.ts'
import type { CameraEncoding } from '../load/measuredEncoding.ts'
import { withPlace } from '../load/planShow.ts'
import { type FileStamp, type FileSums, fileStamp } from '../memo/fileSums.ts'
import { type Decoder, Memo, type Step } from '../memo/memo.ts'
import { type PictureSource, reducedFrame } from '../pictures/takePicture.ts'
import { checkCancelled } from '../progress/checkCancelled.ts'
import type { FramesShot, ReadingsShot, YcbcrReading } from '../showFile/show.ts'
import type { ChartTrack } from './chartTrack.ts'
import { expandFrames } from './expandFrames.ts'
import type { FileMemory } from './fileMemory.ts'
import { type FootageReading, type FrameFile, kindOf, openFrames, readFrameFile } from './openFrame.ts'
import { placeChart } from './placeChart.ts'
import { commonBits, type SampledShot, sampleShot } from './sampleShot.ts'

/** What a shot gave. Plain data, so that it can come from another thread. */
export interface ShotReadings {
  readonly camera: string
  readonly setup: string
  readonly readings: Readings
  /** Bits of the recording, 8…16. */
  readonly bits: number
  readonly inputs: readonly InputFile[]
  readonly warnings: readonly Warning[]
  /** What the pictures of the shot are made from. Frames only. */
  readonly picture?: PictureSource
  /** Was it read in an earlier run? */
  readonly cached: boolean
  /** Its files as they were when their bytes were read, for whoever remembers their checksums. */
  readonly seen: readonly SeenFile[]
}

/** A file whose bytes were read. */
interface SeenFile {
  readonly path: string
  readonly sha256: string
  readonly stamp: FileStamp
  /** When the stamp was taken, in milliseconds. */
  readonly at: number
}

export interface ShotContext {
  readonly chart: Chart
  readonly encoding: CameraEncoding
  readonly camera: string
  /** How its clips are to be read, in place of what their tags say. */
  readonly ycbcr?: YcbcrReading
  /** Folder of the show file. */
  readonly folder: string
  /** Place of the shot in the show file. */
  readonly place: Place
  /** Where readings of earlier runs are looked for, and these are kept. Default nowhere. */
  readonly memo?: Memo
  /** Keep the frame, reduced, for the pictures? Otherwise it is decoded again when they are made. Default true. */
  readonly keepFrame?: boolean
  /** Called with the first frame when frames were decoded, be there a chart in it or not. */
  readonly onFrame?: (frame: DecodedFrame) => void
  /** Used again from shot to shot. Default: new memory for each. */
  readonly memory?: FileMemory
  /** Where the chart last stood, of a camera that is shot again and again. Default: it is looked for in the whole frame. */
  readonly track?: ChartTrack
  readonly signal?: AbortSignal
}

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
    if (!isIsochipError(error) || error.place.file === undefined || error.place === context.place) throw error
    if (error.place.file === context.place.file) throw error
    throw new IsochipError(error.code, error.message, {
      hint: error.hint,
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
    seen: [],
  }
}

/** How a shot's footage is to be read. */
const readingOf = ({ at }: FramesShot, { ycbcr }: ShotContext): FootageReading => given({ at, ycbcr })

type FileOfShot = Pick<FrameFile, 'path' | 'name' | 'sha256' | 'bytes'>

/**
 * A shot as an earlier run read it, where all its frames are known and untouched: nothing is decoded, and no frame's
 * bytes are read. `undefined` where there is more to do.
 */
export async function keptShot(
  shot: FramesShot,
  context: ShotContext & { readonly memo: Memo },
  sums: FileSums,
): Promise<ShotReadings | undefined> {
  const files: FileOfShot[] = []
  const paths = await expandFrames(shot.frames, context.folder, context.place).catch((cause: unknown) => {
    // Whoever reads the shot after this says what is wrong with it.
    if (isIsochipError(cause)) return undefined
    throw cause
  })
  if (paths === undefined) return undefined
  for (const path of paths) {
    const sha256 = await sums.known(path)
    if (sha256 === undefined) return undefined
    files.push({ path, name: portable(context.folder, path), sha256 })
  }
  const inputs = await shotInputs(shot, context, files)
  const kept = await context.memo.recall(shotStep, inputs)
  return kept && shotReadings(shot, context, files, inputs, kept, true)
}

/** All that the readings of a shot depend on. */
interface ShotInputs {
  readonly chart: Chart
  readonly encoding: CameraEncoding['spec']
  readonly corners: FramesShot['corners']
  readonly footage: FootageReading
  readonly files: readonly InputFile[]
  /** Releases of what decodes the files. */
  readonly decoders: readonly (string | undefined)[]
}

const shotStep: Step<SampledShot> = {
  name: 'shot',
  schema: async () => (await import('../memo/keptSchemas.ts')).keptShot,
}

async function shotInputs(
  shot: FramesShot,
  context: ShotContext,
  files: readonly FileOfShot[],
): Promise<ShotInputs> {
  const { camera, chart, encoding, memo } = context
  const { setup, corners } = shot
  const kinds = memo?.folder === undefined ? [] : await Promise.all(files.map(({ path }) => kindOf(path)))
  const decoders = new Set(kinds.map((kind): Decoder => (kind === 'still' ? 'stills' : 'footage')))
  return {
    chart,
    encoding: encoding.spec,
    corners,
    footage: readingOf(shot, context),
    files: files.map(({ name, sha256 }) => ({ path: name, sha256, camera, setup })),
    decoders: await Promise.all([...decoders].map((one) => memo?.decoder(one))),
  }
}

function shotReadings(
  shot: FramesShot,
  context: ShotContext,
  files: readonly FileOfShot[],
  inputs: ShotInputs,
  { readings, bits, warnings, areas }: SampledShot,
  cached: boolean,
  seen: readonly SeenFile[] = [],
): ShotReadings {
  const { path, name } = files[0]!
  return {
    camera: context.camera,
    setup: shot.setup,
    readings,
    bits,
    inputs: inputs.files,
    warnings,
    picture: { key: Memo.key(shotStep.name, inputs), path, name, areas, ...inputs.footage },
    cached,
    seen,
  }
}

async function fromFrames(shot: FramesShot, context: ShotContext): Promise<ShotReadings> {
  const files: FileOfShot[] = []
  try {
    return await readFrames(shot, context, files)
  } finally {
    for (const { bytes } of files) if (bytes !== undefined) context.memory?.giveBack(bytes)
  }
}

/** @param files takes up the files as they are read, with bytes that are to be given back in the end */
async function readFrames(
  shot: FramesShot,
  context: ShotContext,
  files: FileOfShot[],
): Promise<ShotReadings> {
  const { folder, place, signal, memory, memo = new Memo(), keepFrame = true } = context
  const seen: SeenFile[] = []
  for (const path of await expandFrames(shot.frames, folder, place)) {
    checkCancelled(signal)
    const now = Date.now()
    const stamp = await fileStamp(path)
    const file = await readFrameFile(path, portable(folder, path), memory)
    if (stamp !== undefined) seen.push({ path, sha256: file.sha256, stamp, at: now })
    const { bytes, ...light } = file
    // With kept readings to be looked for first, the bytes of many frames would be held for nothing.
    const hold = memo.folder === undefined || files.length === 0
    files.push(hold ? file : light)
    if (!hold && bytes !== undefined) memory?.giveBack(bytes)
  }
  const inputs = await shotInputs(shot, context, files)
  let first: DecodedFrame | undefined
  // LibRaw does not say which release it is, on which what was kept would depend.
  const raw = (await Promise.all(files.map(({ path }) => kindOf(path)))).includes('raw')
  const keeping = raw ? new Memo() : memo
  const { value, cached } = await keeping.memo(shotStep, inputs, async () => {
    const frames: DecodedFrame[] = []
    for (const file of files) {
      checkCancelled(signal)
      frames.push(...(await openFrames(file, inputs.footage, signal)))
    }
    first = frames[0]!
    context.onFrame?.(first)
    const { chart, track } = context
    if (track === undefined || shot.corners !== undefined)
      return sampleShot(frames, placeChart(first, chart, shot.corners), context)
    const sampled = sampleShot(frames, track.place(first, chart), context)
    track.keep(sampled.readings)
    return sampled
  })
  const read = shotReadings(shot, context, files, inputs, value, cached, seen)
  if (first === undefined || !keepFrame) return read
  return { ...read, picture: { ...read.picture!, reduced: reducedFrame(first) } }
}
