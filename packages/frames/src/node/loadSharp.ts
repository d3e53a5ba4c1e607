import { IsochipError } from '@isochip/core'
import type { SharpConstructor } from 'sharp'

/**
 * The library that decodes and encodes stills: loaded where one is read or written, since programs that have their
 * readings already need not install it.
 *
 * @throws IsochipError `tool-missing`
 */
export async function loadSharp(): Promise<SharpConstructor> {
  try {
    return (await import('sharp')).default
  } catch (cause) {
    throw new IsochipError(
      'tool-missing',
      'stills are read and written by the library sharp, which cannot be loaded',
      {
        hint: 'install it beside the packages of isochip: npm install sharp',
        cause,
      },
    )
  }
}
