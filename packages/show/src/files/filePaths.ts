import { isAbsolute, join, relative, sep } from 'node:path'

/** A path of the show file, seen from the folder of the show file. */
export const fromShow = (folder: string, path: string): string =>
  isAbsolute(path) ? path : join(folder, path)

/** A path as provenance has it: from the show file's folder, with forward slashes, the same on every machine. */
export const portable = (folder: string, path: string): string => relative(folder, path).split(sep).join('/')
