import { stat } from 'node:fs/promises'
import { IsochipError, type Place } from '@isochip/core'
import { glob } from 'tinyglobby'
import { fromShow } from '../files/filePaths.ts'

/**
 * The files that paths and patterns (`*`, `?`, `[a-c]`, `{a,b}`, `**`) stand for: patterns in the order in which they
 * are given, the files of one in the order of their names, none twice. A file that is called like a pattern is that
 * file.
 *
 * @param folder from which the paths start
 * @throws IsochipError `frame-unreadable` for a path without file, or a pattern that no file matches
 */
export async function expandFrames(
  patterns: readonly string[],
  folder: string,
  place: Place,
): Promise<readonly string[]> {
  const found = new Set<string>()
  for (const pattern of patterns) {
    const literal = fromShow(folder, pattern)
    if ((await stat(literal).catch(() => undefined))?.isFile()) {
      found.add(literal)
      continue
    }
    if ((await stat(literal).catch(() => undefined))?.isDirectory())
      throw new IsochipError('frame-unreadable', `${pattern} is a folder`, {
        hint: `name the frames in it: ${pattern.replace(/\/+$/, '')}/*.png`,
        place,
      })
    if (!/[*?[\]{}]/.test(pattern)) {
      throw new IsochipError('frame-unreadable', `there is no frame ${pattern}`, {
        hint: 'paths start at the folder of the show file; check the spelling, upper and lower case too',
        place,
      })
    }
    const files = await glob([pattern], { cwd: folder, expandDirectories: false, onlyFiles: true })
    if (files.length === 0) {
      throw new IsochipError('frame-unreadable', `no file matches ${pattern}`, {
        hint: 'patterns start at the folder of the show file: * stands for any part of a name, ** for any folders',
        place,
      })
    }
    for (const file of files.sort()) found.add(fromShow(folder, file))
  }
  return [...found]
}
