import { readFile } from 'node:fs/promises'
import { basename, dirname, extname, join } from 'node:path'
import { IsochipError, resolveEncoding, resolvePrimaries, type Vec3 } from '@isochip/core'
import {
  bakeLattice,
  clfFromLut,
  clfFromMatch,
  concatenateProcessLists,
  cubeChunks,
  type EncodedMatch,
  matchTransform,
  type ProcessList,
  writeClf,
} from '@isochip/export'
import { keepInput } from '../files/keepInput.ts'
import { OutputFolder } from '../files/outputFolder.ts'
import { plainTitle } from '../lut/bakeFormats.ts'
import { lutComments } from '../lut/lutComments.ts'
import { parseMatchFile } from '../match/parseMatchFile.ts'
import type { LutFormat } from '../showFile/show.ts'
import { lutFunction, readLutFile } from './readLutFile.ts'

export interface BakeMatchOptions {
  /** Nodes along each axis, default 33. */
  readonly size?: number
  /** Default `cube`: a lattice. `clf`: the steps of the match, of which nothing is sampled. */
  readonly format?: LutFormat
  /** A LUT that goes behind the match: code values of its output encoding in. */
  readonly then?: string
  /** The file to write; default beside the match file, called after it (and after the look). */
  readonly out?: string
  readonly force?: boolean
}

/**
 * Bakes a match file to a LUT again: at another size, in another format, or together with a look.
 *
 * @throws IsochipError `match-invalid`, `lut-syntax`, `lut-limits`, `output-exists`, `output-unwritable`
 */
export async function bakeMatchFile(path: string, options: BakeMatchOptions = {}): Promise<{ file: string }> {
  const { size = 33, format = 'cube', then, force = false } = options
  const match = await parseMatchFile(await readMatchText(path), path)
  const encoded: EncodedMatch = {
    source: resolveEncoding(match.sourceEncoding),
    model: match.model,
    working: resolvePrimaries(match.working),
    output: resolveEncoding(match.outputEncoding),
    bits: match.bits,
  }
  const look =
    then === undefined ? undefined : { name: basename(then, extname(then)), file: await readLutFile(then) }
  const title = plainTitle(
    `${match.title}, ${match.setup}, ${match.camera}${look === undefined ? '' : `, then ${look.name}`}`,
  )
  const comments = [...lutComments(match), ...(look === undefined ? [] : [`Behind the match: ${look.name}`])]
  const stem = basename(path).replace(/(\.match)?\.json$/i, '')
  const file =
    options.out ?? join(dirname(path), `${stem}${look === undefined ? '' : `.${look.name}`}.${format}`)
  await keepInput(file, then === undefined ? [path] : [path, then])
  const bytes = format === 'clf' ? steps() : lattice()

  const folder = await OutputFolder.open(dirname(file), [basename(file)], { force })
  try {
    await folder.stage(basename(file), bytes)
    await folder.commit()
  } finally {
    await folder.discard()
  }
  return { file }

  function lattice(): Uint8Array {
    const exact = matchTransform(encoded)
    const behind = look === undefined ? undefined : lutFunction(look.file)
    const whole = behind === undefined ? exact : (code: Vec3) => behind(exact(code))
    return Buffer.concat([...cubeChunks(bakeLattice(whole, { size, title }), { comments })])
  }

  /** Nothing is sampled: the steps of the match, then those of the look. */
  function steps(): Uint8Array {
    const id = `${match.setup}-${match.camera}`.replace(/[^\w.-]+/g, '_')
    const { list } = clfFromMatch(encoded, { id, name: title, descriptions: comments, size })
    const behind: ProcessList | undefined =
      look === undefined
        ? undefined
        : look.file.kind === 'steps'
          ? look.file.list
          : clfFromLut(look.file.lut, look.name)
    const all = behind === undefined ? list : { ...concatenateProcessLists(list, behind, id), name: title }
    return Buffer.from(writeClf(all))
  }
}

async function readMatchText(path: string): Promise<string> {
  try {
    return await readFile(path, 'utf8')
  } catch (cause) {
    const { code, message } = cause as NodeJS.ErrnoException
    throw new IsochipError(
      'match-invalid',
      code === 'ENOENT' ? 'there is no such file' : `the file cannot be read: ${message}`,
      {
        hint: 'give a .match.json file as isochip match writes it',
        place: { file: path },
        cause,
      },
    )
  }
}
