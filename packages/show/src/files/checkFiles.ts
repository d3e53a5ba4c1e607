import { createHash } from 'node:crypto'
import { createReadStream } from 'node:fs'
import { readdir, readFile, stat } from 'node:fs/promises'
import { join } from 'node:path'
import { given, IsochipError } from '@isochip/core'
import type { Shape } from '@isochip/core/shapes'
import { checksumsFile, parseChecksums } from './checksums.ts'
import type { filesCheck, filesCheckFile } from './filesCheckShape.ts'
import { lockState } from './folderLock.ts'
import { isOurs } from './ownMark.ts'

export interface FilesCheck extends Shape<typeof filesCheck> {}

/** The state of a folder as a document, `files/1`. */
export interface FilesCheckFile extends Shape<typeof filesCheckFile> {}

/**
 * Are the files in a folder those of one run, whole? By the list of their checksums, which a run writes last.
 *
 * @throws IsochipError `usage` where there is no such folder
 */
export async function checkFiles(folder: string): Promise<FilesCheck> {
  if (!(await stat(folder).catch(() => undefined))?.isDirectory())
    throw new IsochipError('usage', 'there is no such folder', {
      hint: 'give the folder that a match was written into',
      place: { file: folder },
    })
  const run = await lockState(folder)
  const sums = await listedSums(folder)
  const changed: string[] = []
  const missing: string[] = []
  for (const [file, sum] of sums ?? []) {
    const now = await sumOfFile(join(folder, file))
    if (now === undefined) missing.push(file)
    else if (now !== sum) changed.push(file)
  }
  const left = await ownFiles(folder, new Set([checksumsFile, ...(sums?.keys() ?? [])]))
  return {
    whole: sums !== undefined && changed.length === 0 && missing.length === 0,
    files: [...(sums?.keys() ?? [])],
    listed: sums !== undefined,
    changed,
    missing,
    left,
    ...given({ run }),
  }
}

/** The list of a folder; `undefined` where there is none that is whole. */
export async function listedSums(folder: string): Promise<ReadonlyMap<string, string> | undefined> {
  const text = await readFile(join(folder, checksumsFile), 'utf8').catch(() => undefined)
  return text === undefined ? undefined : parseChecksums(text)
}

/** What is wrong with one file of a folder, by its path in it; `undefined` where nothing is known to be. */
export type RunFiles = (file: string) => Promise<string | undefined>

/** Tells of single files whether they are those of the run that wrote the list of the folder. */
export async function fileOfRun(folder: string): Promise<RunFiles> {
  const sums = await listedSums(folder)
  const run = await lockState(folder)
  return async (file) => {
    if (sums === undefined)
      return run === 'left'
        ? `a run was ended in this folder before its end: ${file} may be of another run than what lies beside it`
        : undefined
    const sum = sums.get(file)
    if (sum === undefined || sum === (await sumOfFile(join(folder, file)))) return undefined
    return `${file} is not as the run wrote it whose list of checksums (${checksumsFile}) lies there: a run was ended halfway, or the file was changed`
  }
}

/** What is wrong with a folder, in one sentence; `undefined` where nothing is. */
export function mixedFiles({ whole, listed, changed, missing, run }: FilesCheck): string | undefined {
  if (whole) return undefined
  const ended = run === 'held' ? '; a run is at work in it' : run === 'left' ? '; a run was ended in it' : ''
  if (!listed) return `there is no whole ${checksumsFile}: no run has come to its end here${ended}`
  const some = (files: readonly string[], what: string) =>
    files.length === 0
      ? []
      : [`${files.slice(0, 3).join(', ')}${files.length > 3 ? ` and ${files.length - 3} more` : ''} ${what}`]
  const parts = [...some(changed, 'not as that run wrote them'), ...some(missing, 'missing')]
  return `the files are not all of one run: ${parts.join('; ')}${ended}`
}

export async function sumOfFile(path: string): Promise<string | undefined> {
  const hash = createHash('sha256')
  try {
    for await (const piece of createReadStream(path)) hash.update(piece as Buffer)
  } catch {
    return undefined
  }
  return hash.digest('hex')
}

async function ownFiles(folder: string, known: ReadonlySet<string>): Promise<string[]> {
  const files = ['', ...(await foldersIn(folder))].map(async (within) => {
    const names = await readdir(join(folder, within), { withFileTypes: true }).catch(() => [])
    const own: string[] = []
    for (const entry of names) {
      const file = within === '' ? entry.name : `${within}/${entry.name}`
      if (entry.isFile() && !known.has(file) && (await isOurs(join(folder, file)))) own.push(file)
    }
    return own
  })
  return (await Promise.all(files)).flat().sort()
}

async function foldersIn(folder: string): Promise<string[]> {
  const entries = await readdir(folder, { withFileTypes: true }).catch(() => [])
  return entries.filter((entry) => entry.isDirectory()).map(({ name }) => name)
}
