import { readFile } from 'node:fs/promises'
import { basename, dirname, extname, join } from 'node:path'
import { IsochipError, resolveEncoding, resolvePrimaries, type Vec3 } from '@isochip/core'
import { bakeLattice, cubeChunks, type LatticeLut, lutTransform, matchTransform } from '@isochip/export'
import { OutputFolder } from '../files/outputFolder.ts'
import { lutComments } from '../lut/lutComments.ts'
import { parseMatchFile } from '../match/parseMatchFile.ts'
import { readLutFile } from './readLutFile.ts'

export interface BakeMatchOptions {
  /** Nodes along each axis, default 33. */
  readonly size?: number
  /** A LUT that goes behind the match: code values of its output encoding in. */
  readonly then?: string
  /** The file to write; default beside the match file, called after it (and after the look). */
  readonly out?: string
  readonly force?: boolean
}

/**
 * Bakes a match file to a `.cube` file again: at another size, or together with a look.
 *
 * @throws IsochipError `match-invalid`, `lut-syntax`, `lut-limits`, `output-exists`, `output-unwritable`
 */
export async function bakeMatchFile(
  path: string,
  options: BakeMatchOptions = {},
): Promise<{ file: string; size: number }> {
  const { size = 33, then, force = false } = options
  const match = await parseMatchFile(await readMatchText(path), path)
  const transform = matchTransform({
    source: resolveEncoding(match.sourceEncoding),
    model: match.model,
    working: resolvePrimaries(match.working),
    output: resolveEncoding(match.outputEncoding),
    bits: match.bits,
  })
  const look = then === undefined ? undefined : lutTransform(await readLutFile(then))
  const whole = look === undefined ? transform : (code: Vec3) => look(transform(code))
  const lookName = then === undefined ? undefined : basename(then, extname(then))
  const title = `${match.title}, ${match.setup}, ${match.camera}${lookName === undefined ? '' : `, then ${lookName}`}`
  const lut: LatticeLut = bakeLattice(whole, { size, title: title.replace(/"/g, "'") })
  const comments = [
    ...lutComments(match),
    ...(lookName === undefined ? [] : [`Behind the match: ${lookName}`]),
  ]
  const stem = basename(path).replace(/(\.match)?\.json$/i, '')
  const file =
    options.out ?? join(dirname(path), `${stem}${lookName === undefined ? '' : `.${lookName}`}.cube`)
  const folder = await OutputFolder.open(dirname(file), [basename(file)], { force })
  try {
    await folder.stage(basename(file), Buffer.concat([...cubeChunks(lut, { comments })]))
    await folder.commit()
  } finally {
    await folder.discard()
  }
  return { file, size }
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
