import { basename, extname, join } from 'node:path'
import { IsochipError, type Warning } from '@isochip/core'
import { prepareLut } from '@isochip/export'
import type { DecodedFrame } from '@isochip/frames'
import { decodeFrame, encodeFrame } from '@isochip/frames/node'
import { foldedName } from '../files/foldedName.ts'
import { keepInput } from '../files/keepInput.ts'
import { OutputFolder } from '../files/outputFolder.ts'
import { markPng } from '../files/ownMark.ts'
import { type LutFile, lutFunction, readLutFile } from '../load/readLutFile.ts'

export interface ApplyLutOptions {
  /** Folder for the pictures. */
  readonly out: string
  /** Replace files in it that isochip did not write. The frames themselves are never replaced. */
  readonly force?: boolean
}

/**
 * Puts a LUT on stills. PNG stays PNG and everything else becomes TIFF, at the depth of the frame; names are kept.
 *
 * @returns the files written, and what the readers of the frames had to say
 * @throws IsochipError `lut-syntax`, `frame-unreadable`, `output-exists`, `output-unwritable`
 */
export async function applyLutToFrames(
  lutFile: string,
  files: readonly string[],
  { out, force = false }: ApplyLutOptions,
): Promise<{ files: readonly string[]; warnings: readonly Warning[] }> {
  const apply = pixelFunction(await readLutFile(lutFile))
  const jobs = files.map((file) => {
    const format = /\.png$/i.test(file) ? ('png' as const) : ('tiff' as const)
    return { file, format, name: `${basename(file, extname(file))}.${format === 'png' ? 'png' : 'tif'}` }
  })
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
  const folder = await OutputFolder.open(
    out,
    jobs.map(({ name }) => name),
    { force },
  )
  const warnings: Warning[] = []
  try {
    for (const { file, format, name } of jobs) {
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
  }
}

/** What puts a LUT on a frame, in place: a table by the fast kernel, steps one pixel after the other. */
function pixelFunction(
  file: LutFile,
): (frame: Pick<DecodedFrame, 'width' | 'height' | 'data' | 'codeScale'>) => void {
  if (file.kind === 'table') {
    const prepared = prepareLut(file.lut)
    return (frame) => prepared.apply(frame)
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
