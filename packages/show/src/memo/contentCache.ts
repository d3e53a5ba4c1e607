import { createHash, randomBytes } from 'node:crypto'
import { mkdir, readdir, readFile, rename, rm, stat, utimes, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import { deserialize, serialize } from 'node:v8'
import { version } from '../version.ts'

/** Set by the build: a checksum of the sources. Without one, whoever works on them has a cache folder of their own. */
declare const ISOCHIP_SOURCES: string | undefined
const sources = typeof ISOCHIP_SOURCES === 'string' ? ISOCHIP_SOURCES : 'sources'

const day = 24 * 3600 * 1000
/** What nobody has asked for in so long goes; what a killed run left half-written goes sooner. */
const keepFor = 60 * day
const temporaryFor = day / 24

/**
 * Results kept by what they were made from: the bytes of the files, the options, the version and its
 * sources. Nothing in it can be
 * out of date, so nothing has to be thrown away for being wrong; the folder may be deleted at any time. An entry that
 * cannot be read, or written, is as good as none.
 */
export class ContentCache {
  readonly folder: string

  constructor(folder: string) {
    this.folder = folder
  }

  /** Key of whatever a result depends on: anything that JSON can hold, and maps. */
  static key(kind: string, ...parts: readonly unknown[]): string {
    const text = JSON.stringify([kind, version, sources, ...parts], (_, value) =>
      value instanceof Map ? [...value] : value,
    )
    return createHash('sha256').update(text).digest('hex')
  }

  /** The value kept under a key: whatever a structured clone can hold. */
  async get<T>(key: string): Promise<T | undefined> {
    try {
      const path = this.#path(key)
      const entry = deserialize(await readFile(path)) as { key: string; value: T }
      if (entry.key !== key) return undefined
      const now = new Date()
      // The time of last use, at most once a day.
      if (now.getTime() - (await stat(path)).mtimeMs > day) await utimes(path, now, now)
      return entry.value
    } catch {
      return undefined
    }
  }

  async put(key: string, value: unknown): Promise<void> {
    const path = this.#path(key)
    const temporary = `${path}.${randomBytes(4).toString('hex')}`
    try {
      await mkdir(this.folder, { recursive: true })
      await writeFile(temporary, serialize({ key, value }))
      await rename(temporary, path)
    } catch {
      await rm(temporary, { force: true }).catch(() => undefined)
    }
  }

  /** What is kept under a key; otherwise what `make` gives, which is kept from then on. */
  async keep<T>(kind: string, parts: readonly unknown[], make: () => Promise<T>): Promise<T> {
    const key = ContentCache.key(kind, ...parts)
    const before = await this.get<T>(key)
    if (before !== undefined) return before
    const value = await make()
    await this.put(key, value)
    return value
  }

  /** Removes what has not been used for sixty days. Looks for it once a day: the folder may be a large one. */
  async prune(now: number = Date.now()): Promise<void> {
    const mark = join(this.folder, 'pruned')
    const last = (await stat(mark).catch(() => undefined))?.mtimeMs ?? 0
    if (now - last < day) return
    const marked = await writeFile(mark, '').then(
      () => true,
      () => false,
    )
    if (!marked) return
    const names = await readdir(this.folder).catch(() => [] as string[])
    for (const name of names) {
      const found = /^[0-9a-f]{64}\.kept(\.[0-9a-f]{8})?$/.exec(name)
      if (found === null) continue
      const path = join(this.folder, name)
      const age = now - ((await stat(path).catch(() => undefined))?.mtimeMs ?? now)
      if (age > (found[1] === undefined ? keepFor : temporaryFor))
        await rm(path, { force: true }).catch(() => undefined)
    }
  }

  #path(key: string): string {
    return join(this.folder, `${key}.kept`)
  }
}
