import { mkdtemp, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { basename, extname, join } from 'node:path'
import { given, IsochipError, type Warning } from '@isochip/core'
import { type LatticeLut, type PreparedLut, prepareLut, writeCube } from '@isochip/export'
import type { DecodedFrame } from '@isochip/frames'
import { type ClipCodec, clipCodecs, decodeFrame, encodeFrame, lutOnClip } from '@isochip/frames/node'
import { foldedName } from '../files/foldedName.ts'
import { keepInput } from '../files/keepInput.ts'
import { OutputFolder } from '../files/outputFolder.ts'
import { markPng } from '../files/ownMark.ts'
import { type LutFile, lutFunction, readLutFile } from '../load/readLutFile.ts'
import { checkCancelled } from '../progress/checkCancelled.ts'
import { kindOf } from '../read/openFrame.ts'
import type { YcbcrReading } from '../showFile/show.ts'

export interface ApplyLutOptions {
  /** Folder for the pictures. */
  readonly out: string
  /** Replace files in it that isochip did not write. The frames themselves are never replaced. */
  readonly force?: boolean
  /** Codec of clips. Default `prores-422-hq`. */
  readonly codec?: ClipCodec
  /** How clips are to be read, in place of what their tags say. */
  readonly ycbcr?: YcbcrReading
  /** Frames of a clip that are done, and how many there are, where the clip tells. */
  readonly onFrames?: (file: string, done: number, all: number | undefined) => void
  readonly signal?: AbortSignal
}

interface Job {
  readonly file: string
  readonly format: 'png' | 'tiff' | 'clip'
  /** Of what comes out. */
  readonly name: string
}

/**
 * Applies a LUT to stills and clips. PNG stays PNG and other stills become TIFF, at the depth of the frame; clips go through
 * the system's ffmpeg into a mezzanine codec. Names are kept.
 *
 * @returns the files written, and what the readers of the frames had to say
 * @throws IsochipError `lut-syntax`, `usage` for a clip and a LUT of other than one lattice, `frame-unreadable`, `tool-missing`, `output-exists`,
 *   `output-unwritable`, `cancelled`
 */
export async function applyLutToFrames(
  lutFile: string,
  files: readonly string[],
  options: ApplyLutOptions,
): Promise<{ files: readonly string[]; warnings: readonly Warning[] }> {
  const { out, force = false, codec = 'prores-422-hq', signal } = options
  const lut = await readLutFile(lutFile)
  const apply = pixelFunction(lut)
  const jobs: Job[] = []
  for (const file of files) {
    const stem = basename(file, extname(file))
    if ((await kindOf(file)) === 'movie')
      jobs.push({ file, format: 'clip', name: `${stem}.${clipCodecs[codec].ending}` })
    else if (/\.png$/i.test(file)) jobs.push({ file, format: 'png', name: `${stem}.png` })
    else jobs.push({ file, format: 'tiff', name: `${stem}.tif` })
  }
  for (const [index, { file, name }] of jobs.entries()) {
    const same = jobs.findIndex((job) => foldedName(job.name) === foldedName(name))
    if (same !== index) {
      throw new IsochipError(
        'usage',
        `${jobs[same]!.file} and ${file} would both become ${join(out, name)}`,
        {
          hint: 'apply the LUT to them separately, into two folders',
        },
      )
    }
    await keepInput(join(out, name), [file])
  }
  const table = jobs.some(({ format }) => format === 'clip') ? latticeOf(lut, lutFile) : undefined
  const folder = await OutputFolder.open(
    out,
    jobs.map(({ name }) => name),
    { force },
  )
  const warnings: Warning[] = []
  const scratch = table === undefined ? undefined : await scratchLut(table)
  try {
    for (const { file, format, name } of jobs) {
      checkCancelled(signal)
      if (format === 'clip') {
        await folder.stageWritten(name, async (path) => {
          const told = await clipThrough(file, join(scratch!, lutName), path, { ...options, codec })
          warnings.push(...told)
        })
        continue
      }
      const { warnings: told, ...frame } = await decodeFrame(file)
      warnings.push(...told)
      apply(frame)
      const bytes = await encodeFrame(frame, { format })
      await folder.stage(name, format === 'png' ? markPng(bytes) : bytes)
    }
    const written = await folder.commit()
    return { files: written.files.map((name) => join(out, name)), warnings }
  } finally {
    await folder.discard()
    if (scratch !== undefined) await rm(scratch, { recursive: true, force: true })
  }
}

async function clipThrough(
  file: string,
  lut: string,
  path: string,
  { codec, ycbcr, onFrames, signal }: ApplyLutOptions & { readonly codec: ClipCodec },
): Promise<readonly Warning[]> {
  try {
    return await lutOnClip(file, lut, path, {
      codec,
      ...ycbcr,
      ...(onFrames === undefined ? {} : { onFrames: (done, all) => onFrames(file, done, all) }),
      ...given({ signal }),
    })
  } catch (cause) {
    // Whoever ends this program at the keyboard ends ffmpeg with it, which then has its own account of it.
    checkCancelled(signal)
    throw cause
  }
}

const lutName = 'lut.cube'

/** A folder with the LUT under a name that ffmpeg's filters take as it is. */
async function scratchLut(table: LatticeLut): Promise<string> {
  const folder = await mkdtemp(join(tmpdir(), 'isochip-'))
  const { title: _, ...bare } = table
  await writeFile(join(folder, lutName), writeCube(bare, { precision: 'exact' }))
  return folder
}

/** What ffmpeg looks up by tetrahedra is a lattice. */
function latticeOf(file: LutFile, path: string): LatticeLut {
  if (file.kind === 'table' && file.lut.kind === 'lattice') return file.lut
  throw new IsochipError('usage', 'a clip takes a LUT of one 3D table, which this is not', {
    hint: 'bake the match as a .cube file; on stills any LUT can be put',
    place: { file: path },
  })
}

/** What puts a LUT on a frame, in place: a table by the fast kernel, steps one pixel after the other. */
function pixelFunction(
  file: LutFile,
): (frame: Pick<DecodedFrame, 'width' | 'height' | 'data' | 'codeScale'>) => void {
  if (file.kind === 'table') {
    const prepared = new Map<number, PreparedLut>()
    return (frame) => {
      const { codeScale } = frame
      // Frames of 10 and 12 bits have their codes in 16.
      const own =
        prepared.get(codeScale) ??
        prepareLut(file.lut, frame.data instanceof Float32Array ? {} : { top: codeScale })
      prepared.set(codeScale, own)
      own.apply(frame)
    }
  }
  const transform = lutFunction(file)
  return ({ data, codeScale }) => {
    const whole = !(data instanceof Float32Array)
    for (let i = 0; i < data.length; i += 3) {
      const out = transform([data[i]! / codeScale, data[i + 1]! / codeScale, data[i + 2]! / codeScale])
      for (const c of [0, 1, 2] as const) {
        const value = out[c] * codeScale
        data[i + c] = whole ? Math.round(Math.min(codeScale, Math.max(0, value))) : value
      }
    }
  }
}
