import { stat } from 'node:fs/promises'
import type { Memo, Step } from './memo.ts'

/** What changes whenever a file's bytes do. Nobody sets the time of change of an inode by hand. */
export interface FileStamp {
  readonly size: bigint
  readonly modified: bigint
  readonly changed: bigint
  readonly inode: bigint
}

/** `undefined` where there is no such file. */
export async function fileStamp(path: string): Promise<FileStamp | undefined> {
  const found = await stat(path, { bigint: true }).catch(() => undefined)
  if (!found?.isFile()) return undefined
  return { size: found.size, modified: found.mtimeNs, changed: found.ctimeNs, inode: found.ino }
}

/**
 * Within so many nanoseconds two writings of a file may carry the same time: a tick of the kernel's clock, or where
 * the file system knows whole seconds only, some of these.
 */
const tick = 100_000_000n
const seconds = 3_000_000_000n

type Entries = Map<string, { readonly stamp: FileStamp; readonly sha256: string }>

const sumsStep: Step<Entries> = {
  name: 'sums',
  schema: async () => (await import('./keptSchemas.ts')).keptSums,
}

/**
 * The checksums of files whose bytes were read before, so that a frame that nobody touched is not read for it again.
 * A file counts as untouched when its size, its times and its inode are what they were.
 */
export class FileSums {
  readonly #memo: Memo
  readonly #of: string
  readonly #entries: Entries

  private constructor(memo: Memo, of: string, entries: Entries) {
    this.#memo = memo
    this.#of = of
    this.#entries = entries
  }

  /** @param of what the files belong to: a show's folder, an output folder */
  static async open(memo: Memo, of: string): Promise<FileSums> {
    return new FileSums(memo, of, (await memo.recall(sumsStep, of)) ?? new Map())
  }

  /** The checksum of a file, where it is known and the file is untouched. */
  async known(path: string): Promise<string | undefined> {
    const entry = this.#entries.get(path)
    if (entry === undefined) return undefined
    const now = await fileStamp(path)
    const { stamp } = entry
    const same =
      now !== undefined &&
      now.size === stamp.size &&
      now.modified === stamp.modified &&
      now.changed === stamp.changed &&
      now.inode === stamp.inode
    return same ? entry.sha256 : undefined
  }

  /**
   * @param stamp as it was before the bytes were read
   * @param now when it was taken, in milliseconds
   */
  note(path: string, stamp: FileStamp, sha256: string, now: number): void {
    const whole = BigInt(Math.floor(now)) * 1_000_000n
    const tooYoung = [stamp.modified, stamp.changed].some(
      (time) => whole - time < (time % 1_000_000_000n === 0n ? seconds : tick),
    )
    // A file so young may still be written to without its times showing it.
    if (tooYoung) return
    this.#entries.set(path, { stamp, sha256 })
  }

  async save(): Promise<void> {
    await this.#memo.keep(sumsStep, this.#of, this.#entries)
  }
}
