import { createHash, randomBytes } from 'node:crypto'
import { mkdir, readFile, rename, rm, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import { version } from '../version.ts'

/**
 * Results kept by what they were made from: the bytes of the files, the options, the version. Nothing in it can be
 * out of date, so nothing has to be thrown away for being wrong; the folder may be deleted at any time. An entry that
 * cannot be read, or written, is as good as none.
 */
export class ContentCache {
  readonly #folder: string

  constructor(folder: string) {
    this.#folder = folder
  }

  /** Key of whatever a result depends on: anything that JSON can hold. */
  static key(kind: string, ...parts: readonly unknown[]): string {
    return createHash('sha256')
      .update(JSON.stringify([kind, version, ...parts]))
      .digest('hex')
  }

  async get<T>(key: string): Promise<T | undefined> {
    try {
      const entry = JSON.parse(await readFile(this.#path(key), 'utf8')) as { key: string; value: T }
      return entry.key === key ? entry.value : undefined
    } catch {
      return undefined
    }
  }

  async put(key: string, value: unknown): Promise<void> {
    const temporary = `${this.#path(key)}.${randomBytes(4).toString('hex')}`
    try {
      await mkdir(this.#folder, { recursive: true })
      await writeFile(temporary, JSON.stringify({ key, value }))
      await rename(temporary, this.#path(key))
    } catch {
      await rm(temporary, { force: true }).catch(() => undefined)
    }
  }

  #path(key: string): string {
    return join(this.#folder, `${key}.json`)
  }
}
