import { createHash, randomBytes } from 'node:crypto'
import { mkdir, open, readdir, readFile, rename, rm, rmdir, stat } from 'node:fs/promises'
import { hostname } from 'node:os'
import { basename, dirname, join } from 'node:path'
import { IsochipError } from '@isochip/core'
import { isOurs } from './ownMark.ts'
import { writeFault } from './writeFault.ts'

/** `.NAME.HOST-PROCESS-RUN-RANDOM.isochip-tmp`: hidden, in the folder of the file that it becomes, and known for ours. */
const temporary = /^\..+\.([0-9a-f]{8})-(\d+)-([0-9a-f]{8})-[0-9a-f]{8}\.isochip-tmp$/

/** Tells this machine from another one that writes to the same folder. */
const thisHost = createHash('sha256').update(hostname()).digest('hex').slice(0, 8)
/** Nothing is known of the processes of another machine but that none works for so long, in milliseconds. */
const foreignFor = 24 * 3600 * 1000

/** Tells this process from an earlier one of the same number: in a container they often have the same. */
const thisRun = randomBytes(4).toString('hex')

export interface Written {
  /** Paths relative to the folder, with forward slashes, in the order in which they were planned. */
  readonly files: readonly string[]
  /** Those of them that had the same bytes before and were left alone. */
  readonly unchanged: readonly string[]
  /** Files that were planned and not written, and are there from an earlier run. */
  readonly left: readonly string[]
}

/**
 * A folder that gets new files all together: each is first written whole under a temporary name beside its place
 * and forced to the disk; `commit` then renames them. A run that ends early, for whatever reason, leaves the files
 * of before, or some new ones, and never a part of one. What a killed run left behind goes with the next `open`.
 */
export class OutputFolder {
  readonly path: string
  readonly #force: boolean
  readonly #planned: readonly string[]
  readonly #staged = new Map<string, string | undefined>()
  readonly #made: string[] = []

  private constructor(path: string, planned: readonly string[], force: boolean) {
    this.path = path
    this.#planned = planned
    this.#force = force
  }

  /**
   * Looks at the folder and changes nothing in it but temporary files of runs that are no more.
   *
   * @param planned paths of the files to come, relative to the folder, with forward slashes
   * @throws IsochipError `output-exists` when one of them is there, isochip did not write it, and `force` is not set;
   *   `output-unwritable` when a file stands where a folder is needed
   */
  static async open(
    path: string,
    planned: readonly string[],
    options: { force?: boolean } = {},
  ): Promise<OutputFolder> {
    const folder = new OutputFolder(path, planned, options.force ?? false)
    const folders = new Set([path, ...planned.map((file) => dirname(join(path, file)))])
    for (const one of folders) await removeTemporaries(one)
    if (!folder.#force) {
      const foreign: string[] = []
      for (const file of planned) if ((await isOurs(join(path, file))) === false) foreign.push(file)
      if (foreign.length > 0) throw exists(path, foreign)
    }
    return folder
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
    const found = known ?? (await sumOf(join(this.path, file)))
    if (found !== sha256) return false
    this.#staged.set(file, undefined)
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
      const sum = sha256(whole)
      if (await sameBytes(path, whole)) {
        this.#staged.set(file, undefined)
        return sum
      }
      await this.#makeFolder(dirname(path))
      const name = `.${basename(path)}.${thisHost}-${process.pid}-${thisRun}-${randomBytes(4).toString('hex')}.isochip-tmp`
      const temp = join(dirname(path), name)
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

  /** Gives every staged file its name. */
  async commit(): Promise<Written> {
    const unchanged: string[] = []
    const place = new Map(this.#planned.map((file, index) => [file, index]))
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
    return { files, unchanged, left }
  }

  /** Removes what was staged and not committed, and the folders that were made for it. Never throws. */
  async discard(): Promise<void> {
    for (const temp of this.#staged.values()) {
      if (temp !== undefined) await rm(temp, { force: true }).catch(() => undefined)
    }
    this.#staged.clear()
    // Innermost first; one that holds something else by now stays.
    for (const made of this.#made.reverse()) await rmdir(made).catch(() => undefined)
    this.#made.length = 0
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
    hint: 'give another folder with --out, move the file away, or replace it with --force',
    place: { file: path },
  })
}

async function sameBytes(path: string, bytes: Uint8Array): Promise<boolean> {
  const size = (await stat(path).catch(() => undefined))?.size
  if (size !== bytes.length) return false
  const old = await readFile(path).catch(() => undefined)
  return old?.equals(bytes) ?? false
}

async function sumOf(path: string): Promise<string | undefined> {
  const bytes = await readFile(path).catch(() => undefined)
  return bytes && sha256(bytes)
}

const sha256 = (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex')

async function removeTemporaries(folder: string): Promise<void> {
  const names = await readdir(folder).catch(() => [] as string[])
  for (const name of names) {
    const [, host, id, run] = temporary.exec(name) ?? []
    if (id === undefined) continue
    if (host === thisHost ? isAlive(Number(id), run!) : (await ageOf(join(folder, name))) < foreignFor)
      continue
    // A folder that may not be changed is found out, and told, when something is to be written.
    await rm(join(folder, name), { force: true }).catch(() => undefined)
  }
}

async function ageOf(path: string): Promise<number> {
  const found = await stat(path).catch(() => undefined)
  return Date.now() - (found?.mtimeMs ?? 0)
}

function isAlive(id: number, run: string): boolean {
  if (id === process.pid) return run === thisRun
  try {
    process.kill(id, 0)
    return true
  } catch (cause) {
    // Not permitted to signal it: it runs, under another user.
    return (cause as NodeJS.ErrnoException).code === 'EPERM'
  }
}
