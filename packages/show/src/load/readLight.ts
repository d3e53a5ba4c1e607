import {
  type IlluminantName,
  IsochipError,
  illuminantNames,
  type NamedLight,
  type Place,
} from '@isochip/core'
import { parseLight } from '@isochip/frames'
import { suggestion } from '../showFile/suggestion.ts'

/**
 * The light that a target or an option names: a CIE illuminant stays its name, anything else is the path of a light that
 * was measured.
 *
 * @throws IsochipError `target-invalid` for what is neither, or for a file that is no spectrum
 */
export async function readLight(
  light: string,
  path: string,
  place: Place,
  read: (path: string) => Promise<Buffer>,
): Promise<IlluminantName | NamedLight> {
  const named = illuminantNames.find((name) => name === light)
  if (named !== undefined) return named
  const bytes = await read(path).catch((cause: NodeJS.ErrnoException) => {
    throw new IsochipError(
      'target-invalid',
      cause.code === 'ENOENT'
        ? `"${light}" is neither a CIE illuminant nor a file`
        : `the light ${light} cannot be read: ${cause.code ?? cause.message}`,
      { hint: suggestion(light, illuminantNames, 'illuminants are'), place, cause },
    )
  })
  return { name: light, power: parseLight(bytes.toString('utf8'), path) }
}
