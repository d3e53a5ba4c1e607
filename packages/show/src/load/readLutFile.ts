import { readFile } from 'node:fs/promises'
import { IsochipError, type Vec3 } from '@isochip/core'
import {
  type Lut,
  lutTransform,
  type ProcessList,
  processListTransform,
  readClf,
  readCube,
} from '@isochip/export'
import { unreadable } from '../files/unreadable.ts'

/** What a LUT file holds: a table, or the steps of a Common LUT Format file. */
export type LutFile =
  | { readonly kind: 'table'; readonly lut: Lut }
  | { readonly kind: 'steps'; readonly list: ProcessList }

/**
 * A `.cube` or Common LUT Format file from its bytes, told apart by how they begin.
 *
 * @param file name for messages
 * @throws IsochipError `lut-syntax`, `lut-limits`, with file and line
 */
export function parseLutFile(bytes: Uint8Array, file: string): LutFile {
  const start = Buffer.from(bytes.subarray(0, 64))
    .toString('utf8')
    .replace(/^\uFEFF/, '')
    .trimStart()
  return start.startsWith('<')
    ? { kind: 'steps', list: readClf(bytes, { file }).list }
    : { kind: 'table', lut: readCube(bytes, { file }).lut }
}

/**
 * Reads a LUT from its file.
 *
 * @throws IsochipError `lut-syntax`, `lut-limits`, with file and line
 */
export async function readLutFile(path: string): Promise<LutFile> {
  const bytes = await readFile(path).catch((cause: unknown) => {
    throw new IsochipError('lut-syntax', unreadable(cause, 'a LUT'), {
      hint: 'give the path of a .cube or Common LUT Format file',
      place: { file: path },
      cause,
    })
  })
  return parseLutFile(bytes, path)
}

/** A LUT file as a function of code values, both as fractions of the full range. */
export const lutFunction = (file: LutFile): ((code: Vec3) => Vec3) =>
  file.kind === 'table' ? lutTransform(file.lut) : processListTransform(file.list)
