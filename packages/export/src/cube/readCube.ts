import { type CubeFile, CubeReader, type CubeReadOptions } from './cubeReader.ts'

/**
 * Reads a whole `.cube` file, 1D or 3D.
 *
 * @throws IsochipError `lut-syntax` or `lut-limits`, with file and line.
 */
export function readCube(source: Uint8Array | string, options: CubeReadOptions = {}): CubeFile {
  const reader = new CubeReader({ byteLength: source.length, ...options })
  reader.push(source)
  return reader.end()
}
