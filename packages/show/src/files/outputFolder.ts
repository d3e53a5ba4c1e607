import { createHash } from 'node:crypto'
import { lstat, mkdir, open, readFile, rename, rm, rmdir, stat } from 'node:fs/promises'
import { dirname, join } from 'node:path'
import { IsochipError } from '@isochip/core'
import { listedSums, sumOfFile } from './checkFiles.ts'
import { checksumsFile, checksumsText } from './checksums.ts'
import { foldedName } from './foldedName.ts'
import { FolderLock } from './folderLock.ts'
import { isOurs } from './ownMark.ts'
import { removeTemporaries, temporaryPath } from './temporaryFiles.ts'
import { writeFault } from './writeFault.ts'

export interface Written {
  /** Paths relative to the folder, with forward slashes, in the order in which they were planned. */
  readonly files: readonly string[]
  /** Those of them that had the same bytes before and were left alone. */
  readonly unchanged: readonly string[]
  /** Files that were planned and not written, and are there from an earlier run. */
  readonly left: readonly string[]
}

export interface OutputOptions {
  /** Replace files that isochip did not write. Default false. */
  readonly force?: boolean
  /**
   * With a list of checksums (`checksums.sha256`), which is replaced last, and one run at a time: `whole` where the files
   * are all that a run writes, `part` where they take the place of some that are on the list. Default: neither.
   */
  readonly list?: 'whole' | 'part'
}

/**
 * A folder that gets new files all together: each is first written whole under a temporary name beside its place
 * and forced to the disk; `commit` then renames them, the list of their checksums last. A run that ends early, for
 * whatever reason, leaves the files of before, or some new ones and a list that says so, and never a part of one. What a
 * killed run left behind goes with the next `open`.
 */
export class OutputFolder {
  readonly path: string
  readonly #force: boolean
  readonly #planned: readonly string[]
  readonly #list: OutputOptions['list']
  readonly #staged = new Map<string, string | undefined>()
  readonly #sums = new Map<string, string>()
  readonly #made: string[] = []
  #lock: FolderLock | undefined

  private constructor(path: string, planned: readonly string[], { force = false, list }: OutputOptions) {
    this.path = path
    this.#planned = list === undefined ? planned : [...planned, checksumsFile]
    this.#force = force
    this.#list = list
  }

  /**
   * Looks at the folder and changes nothing in it but temporary files of runs that are no more. Where there is to be a
   * list, it takes the folder for itself until `commit` or `discard`.
   *
   * @param planned paths of the files to come, relative to the folder, with forward slashes
   * @throws IsochipError `output-exists` when one of them is there, isochip did not write it, and `force` is not set, or a
   *   folder on the way to it is a link; `output-busy` when another run writes there; `output-unwritable` when a file
   *   stands where a folder is needed
   */
  static async open(
    path: string,
    planned: readonly string[],
    options: OutputOptions = {},
  ): Promise<OutputFolder> {
    const names = new Set(planned.map(foldedName))
    // Whoever makes the names has to tell them apart; one file would take the place of another without a word.
    if (names.size < planned.length) throw new Error('two of the planned files have one name')
    const folder = new OutputFolder(path, planned, options)
    try {
      await folder.#checkLinks()
      if (options.list !== undefined) await folder.#take()
      const folders = new Set([path, ...planned.map((file) => dirname(join(path, file)))])
      for (const one of folders) await removeTemporaries(one)
      if (!folder.#force) {
        const foreign: string[] = []
        for (const file of folder.#planned) if ((await isOurs(join(path, file))) === false) foreign.push(file)
        if (foreign.length > 0) throw exists(path, foreign)
      }
      return folder
    } catch (cause) {
      await folder.discard()
      throw cause
    }
  }

  /** Did a run that had this folder end without giving it back? */
  get interrupted(): boolean {
    return this.#lock?.takenOver ?? false
  }

  /** Whole path of a file in the folder. */
  at(file: string): string {
    return join(this.path, file)
  }

  /**
   * Leaves a file as it is that has this checksum already.
   *
   * @param known its checksum, where the file is known and untouched; otherwise it is read for it
   */
  async hold(file: string, sha256: string, known: string | undefined): Promise<boolean> {
    const found = known ?? (await sumOfFile(join(this.path, file)))
    if (found !== sha256) return false
    this.#staged.set(file, undefined)
    this.#sums.set(file, sha256)
    return true
  }

  /**
   * Writes a file under a temporary name. Bytes that are there already are not written again.
   *
   * @returns the SHA-256 of the bytes
   */
  async stage(file: string, content: Uint8Array | string): Promise<string> {
    const path = join(this.path, file)
    try {
      const whole = typeof content === 'string' ? Buffer.from(content) : content
      const sum = createHash('sha256').update(whole).digest('hex')
      this.#sums.set(file, sum)
      if (await sameBytes(path, whole)) {
        this.#staged.set(file, undefined)
        return sum
      }
      await this.#makeFolder(dirname(path))
      const temp = temporaryPath(path)
      const handle = await open(temp, 'wx')
      const before = this.#staged.get(file)
      this.#staged.set(file, temp)
      if (before !== undefined) await rm(before, { force: true })
      try {
        await handle.writeFile(whole)
        await handle.sync()
      } finally {
        await handle.close()
      }
      return sum
    } catch (cause) {
      throw writeFault(path, cause)
    }
  }

  /**
   * Has a file written under a temporary name: one that is larger than what should be held.
   *
   * @param write writes it there
   */
  async stageWritten(file: string, write: (path: string) => Promise<void>): Promise<void> {
    const path = join(this.path, file)
    try {
      await this.#makeFolder(dirname(path))
    } catch (cause) {
      throw writeFault(path, cause)
    }
    const temp = temporaryPath(path)
    this.#staged.set(file, temp)
    await write(temp)
    try {
      const handle = await open(temp, 'r+')
      await handle.sync().finally(() => handle.close())
    } catch (cause) {
      throw writeFault(path, cause)
    }
  }

  /**
   * Gives every staged file its name.
   *
   * @throws IsochipError as `open` and `stage`, for what has come about since
   */
  async commit(): Promise<Written> {
    if (this.#list !== undefined) await this.stage(checksumsFile, await this.#listText())
    if (this.#lock !== undefined && !(await this.#lock.isHeld()))
      throw new IsochipError('output-busy', `another run has taken over ${this.path} in the meantime`, {
        hint: 'was this machine asleep? Run it again',
        place: { file: this.path },
      })
    await this.#checkLinks()
    const unchanged: string[] = []
    const place = new Map(this.#planned.map((file, index) => [file, index]))
    // The list comes last of what is planned: until then the old one says that files of two runs are there.
    const files = [...this.#staged.keys()].sort((a, b) => (place.get(a) ?? 0) - (place.get(b) ?? 0))
    for (const file of files) {
      const temp = this.#staged.get(file)
      if (temp === undefined) {
        unchanged.push(file)
        continue
      }
      const path = join(this.path, file)
      try {
        // Somebody may have put a file there since `open`.
        if (!this.#force && (await isOurs(path)) === false) throw exists(this.path, [file])
        await rename(temp, path)
      } catch (cause) {
        throw writeFault(path, cause)
      }
      this.#staged.set(file, undefined)
    }
    const left: string[] = []
    for (const file of this.#planned)
      if (!this.#staged.has(file) && (await isOurs(join(this.path, file)))) left.push(file)
    this.#staged.clear()
    this.#made.length = 0
    await this.#lock?.release()
    this.#lock = undefined
    return { files, unchanged, left }
  }

  /** Removes what was staged and not committed, and the folders that were made for it. Never throws. */
  async discard(): Promise<void> {
    for (const temp of this.#staged.values()) {
      if (temp !== undefined) await rm(temp, { force: true }).catch(() => undefined)
    }
    this.#staged.clear()
    await this.#lock?.release()
    this.#lock = undefined
    // Innermost first; one that holds something else by now stays.
    for (const made of this.#made.reverse()) await rmdir(made).catch(() => undefined)
    this.#made.length = 0
  }

  async #take(): Promise<void> {
    try {
      await this.#makeFolder(this.path)
      this.#lock = await FolderLock.take(this.path)
    } catch (cause) {
      throw writeFault(this.path, cause)
    }
  }

  /** The files of this run; those of the list of before that this one does not touch, where it is a part of it. */
  async #listText(): Promise<string> {
    const before = this.#list === 'part' ? await listedSums(this.path) : undefined
    const sums = new Map(before)
    for (const file of this.#planned) {
      const sum = this.#sums.get(file)
      if (sum !== undefined && file !== checksumsFile) sums.set(file, sum)
    }
    return checksumsText(sums)
  }

  /** No folder below this one may lead elsewhere: what is written through it would replace files of another place. */
  async #checkLinks(): Promise<void> {
    const folders = new Set(
      this.#planned.flatMap((file) => {
        const steps = file.split('/').slice(0, -1)
        return steps.map((_, index) => join(this.path, ...steps.slice(0, index + 1)))
      }),
    )
    for (const folder of folders) {
      if (!(await lstat(folder).catch(() => undefined))?.isSymbolicLink()) continue
      throw new IsochipError('output-exists', `${folder} is a link to another place`, {
        hint: 'take the link away, or give the folder itself: files are written only where no link leads out of it',
        place: { file: folder },
      })
    }
  }

  /** One by one: where no folder can be, the system's own way of making several at once may never end. */
  async #makeFolder(path: string): Promise<void> {
    const missing: string[] = []
    for (let at = path; (await stat(at).catch(() => undefined)) === undefined; at = dirname(at)) {
      missing.unshift(at)
      if (dirname(at) === at) break
    }
    for (const folder of missing) {
      const made = await mkdir(folder).then(
        () => true,
        (cause: NodeJS.ErrnoException) => {
          // Another run was quicker.
          if (cause.code === 'EEXIST') return false
          throw cause
        },
      )
      if (made) this.#made.push(folder)
    }
  }
}

function exists(folder: string, files: readonly string[]): IsochipError {
  const path = join(folder, files[0]!)
  const others = files.length === 1 ? '' : ` (and ${files.length - 1} more)`
  return new IsochipError('output-exists', `${path} exists, and isochip did not write it${others}`, {
    hint: 'give another folder, move the file away, or have it replaced',
    place: { file: path },
  })
}

async function sameBytes(path: string, bytes: Uint8Array): Promise<boolean> {
  const size = (await stat(path).catch(() => undefined))?.size
  if (size !== bytes.length) return false
  const old = await readFile(path).catch(() => undefined)
  return old?.equals(bytes) ?? false
}
