import { readFile } from 'node:fs/promises'
import { IsochipError } from '@isochip/core'
import { type Lut, readCube } from '@isochip/export'

/**
 * Reads a LUT from its file.
 *
 * @throws IsochipError `lut-syntax` with file and line
 */
export async function readLutFile(path: string): Promise<Lut> {
  const bytes = await readFile(path).catch((cause: NodeJS.ErrnoException) => {
    const reason =
      cause.code === 'ENOENT'
        ? 'there is no such file'
        : cause.code === 'EISDIR'
          ? 'this is a folder, expected a LUT'
          : `the LUT cannot be read: ${cause.message}`
    throw new IsochipError('lut-syntax', reason, {
      hint: 'give the path of a .cube file',
      place: { file: path },
      cause,
    })
  })
  return readCube(bytes, { file: path }).lut
}
