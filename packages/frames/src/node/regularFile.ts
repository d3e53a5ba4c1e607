import { stat } from 'node:fs/promises'
import type { IsochipError } from '@isochip/core'

/** What is at a path has to be a file that can be read more than once. @throws what `fault` makes of the reason */
export async function regularFile(
  path: string,
  fault: (message: string, hint: string) => IsochipError,
): Promise<void> {
  const info = await stat(path).catch(() => undefined)
  if (info?.isFile()) return
  throw fault(
    info === undefined
      ? 'no such file'
      : info.isDirectory()
        ? 'a folder where a frame is expected'
        : 'not a regular file',
    'check the path',
  )
}
