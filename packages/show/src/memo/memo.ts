import { createHash, randomBytes } from 'node:crypto'
import { mkdir, readdir, readFile, rename, rm, stat, utimes, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import { deserialize, serialize } from 'node:v8'
import { footageVersion, stillsVersion } from '@isochip/frames/node'
import type * as z from 'zod'
import { version } from '../version.ts'

/** Set by the build: a checksum of the sources. Without one, whoever works on them has a cache folder of their own. */
declare const ISOCHIP_SOURCES: string | undefined
const sources = typeof ISOCHIP_SOURCES === 'string' ? ISOCHIP_SOURCES : 'sources'
/** The engine's own functions and codecs may have a say in the last digits of a result. */
const engine = `node ${process.versions.node}, ${process.arch}`

const day = 24 * 3600 * 1000
/** What nobody has asked for in so long goes; what a killed run left half-written goes sooner. */
const keepFor = 60 * day
const temporaryFor = day / 24

const magic = 'isochip-kept/2\n'
const hexLength = 64
/** Key and digest, each on a line, before the value. */
const headLength = magic.length + 2 * (hexLength + 1)

/** The library that decodes stills; the program that decodes footage and all other pictures. */
export type Decoder = 'stills' | 'footage'

/** One kind of result that is kept. */
export interface Step<T> {
  readonly name: string
  /** What every entry has to look like. Asked for only where there is an entry: it takes a while to load. */
  readonly schema: () => Promise<z.ZodType>
  /** Never there: only ties the type of the results to the step. */
  readonly result?: T
}

/** An entry that was not what had been kept. */
export interface DiscardedEntry {
  readonly step: string
  /** What is wrong with it, in words. */
  readonly reason: string
  /** Its file. */
  readonly file: string
}

/**
 * Results kept by all that they were made from: the bytes of the files, the options, the version, its sources, the
 * engine. Each entry carries its key and a SHA-256 of both key and value, and is checked and held against the schema
 * of its step before it is used; one that is wrong is thrown away, told of, and made anew. So what comes from here is
 * what was put there; the folder may be deleted at any time, and one that cannot be read or written is as good as none.
 */
export class Memo {
  /** Without a folder nothing is kept. */
  readonly folder: string | undefined
  readonly #discarded: (entry: DiscardedEntry) => void
  readonly #ask: Readonly<Record<Decoder, () => Promise<string | undefined>>>
  readonly #decoders = new Map<Decoder, Promise<string | undefined>>()

  /** @param ask says which release of a decoder is here */
  constructor(
    folder?: string,
    discarded: (entry: DiscardedEntry) => void = () => undefined,
    ask: Readonly<Record<Decoder, () => Promise<string | undefined>>> = {
      stills: stillsVersion,
      footage: footageVersion,
    },
  ) {
    this.folder = folder
    this.#discarded = discarded
    this.#ask = ask
  }

  /** Key of whatever a result depends on: plain data, with maps and bytes in it. */
  static key(step: string, inputs: unknown): string {
    const text = JSON.stringify([step, version, sources, engine, inputs], (_, value: unknown) => plain(value))
    return sha256(text)
  }

  /**
   * The result of a step: as it was kept for the same inputs, or as `make` gives it, which is kept from then on.
   *
   * @param inputs all that the bytes of the result depend on
   * @param holds whether what was kept is still of use: files that it stands for may be gone
   */
  async memo<T>(
    step: Step<T>,
    inputs: unknown,
    make: () => Promise<T>,
    holds: (kept: T) => boolean | Promise<boolean> = () => true,
  ): Promise<{ readonly value: T; readonly cached: boolean }> {
    const kept = await this.recall(step, inputs)
    if (kept !== undefined && (await holds(kept))) return { value: kept, cached: true }
    const value = await make()
    await this.keep(step, inputs, value)
    return { value, cached: false }
  }

  /** What was kept for these inputs. */
  async recall<T>(step: Step<T>, inputs: unknown): Promise<T | undefined> {
    if (this.folder === undefined) return undefined
    const key = Memo.key(step.name, inputs)
    const path = this.#path(this.folder, key)
    const bytes = await readFile(path).catch(() => undefined)
    if (bytes === undefined) return undefined
    const entry = await opened(step, key, bytes)
    if ('reason' in entry) {
      await rm(path, { force: true }).catch(() => undefined)
      this.#discarded({ step: step.name, reason: entry.reason, file: path })
      return undefined
    }
    await touch(path)
    return entry.value
  }

  /** Which release of a decoder is here: readings depend on it. */
  decoder(of: Decoder): Promise<string | undefined> {
    const found = this.#decoders.get(of) ?? this.#ask[of]()
    this.#decoders.set(of, found)
    return found
  }

  async keep<T>(step: Step<T>, inputs: unknown, value: T): Promise<void> {
    if (this.folder === undefined) return
    const key = Memo.key(step.name, inputs)
    const path = this.#path(this.folder, key)
    const temporary = `${path}.${randomBytes(4).toString('hex')}`
    const payload = serialize(value)
    try {
      await mkdir(this.folder, { recursive: true })
      await writeFile(
        temporary,
        Buffer.concat([Buffer.from(`${magic}${key}\n${digest(key, payload)}\n`), payload]),
      )
      await rename(temporary, path)
    } catch {
      await rm(temporary, { force: true }).catch(() => undefined)
    }
  }

  /** Removes what has not been used for sixty days. Looks for it once a day: the folder may be a large one. */
  async prune(now: number = Date.now()): Promise<void> {
    const { folder } = this
    if (folder === undefined) return
    const mark = join(folder, 'pruned')
    const last = (await stat(mark).catch(() => undefined))?.mtimeMs ?? 0
    if (now - last < day) return
    const marked = await writeFile(mark, '').then(
      () => true,
      () => false,
    )
    if (!marked) return
    const names = await readdir(folder).catch(() => [] as string[])
    for (const name of names) {
      const found = /^[0-9a-f]{64}\.kept(\.[0-9a-f]{8})?$/.exec(name)
      if (found === null) continue
      const path = join(folder, name)
      const age = now - ((await stat(path).catch(() => undefined))?.mtimeMs ?? now)
      if (age > (found[1] === undefined ? keepFor : temporaryFor))
        await rm(path, { force: true }).catch(() => undefined)
    }
  }

  #path(folder: string, key: string): string {
    return join(folder, `${key}.kept`)
  }
}

const sha256 = (content: Uint8Array | string) => createHash('sha256').update(content).digest('hex')

/** Of key and value together, so that an entry cannot stand in another's place. */
const digest = (key: string, payload: Uint8Array) =>
  createHash('sha256').update(magic).update(key).update(payload).digest('hex')

async function opened<T>(
  step: Step<T>,
  key: string,
  bytes: Buffer,
): Promise<{ readonly value: T } | { readonly reason: string }> {
  const head = bytes.subarray(0, headLength).toString('latin1')
  const payload = bytes.subarray(headLength)
  if (!head.startsWith(magic)) return { reason: 'it is no entry of this version' }
  if (head !== `${magic}${key}\n${digest(key, payload)}\n`)
    return { reason: 'its bytes are not those that were kept' }
  let value: unknown
  try {
    value = deserialize(payload)
  } catch {
    return { reason: 'it cannot be read' }
  }
  const checked = (await step.schema()).safeParse(value)
  // As it is, not as the schema understood it: the schema says what must be there, not all that may.
  return checked.success ? { value: value as T } : { reason: 'it is not what this step gives' }
}

/** The time of last use, at most once a day. */
async function touch(path: string): Promise<void> {
  try {
    const now = new Date()
    if (now.getTime() - (await stat(path)).mtimeMs > day) await utimes(path, now, now)
  } catch {
    // Of somebody else, or gone by now: then it is pruned sooner.
  }
}

/** What JSON would leave out, or tell like something else, in a form of its own. */
function plain(value: unknown): unknown {
  if (value instanceof Map) return { $map: [...value] }
  if (ArrayBuffer.isView(value))
    return { $bytes: sha256(new Uint8Array(value.buffer, value.byteOffset, value.byteLength)) }
  if (typeof value === 'number' && (!Number.isFinite(value) || Object.is(value, -0)))
    return { $number: Object.is(value, -0) ? '-0' : String(value) }
  if (typeof value === 'function') throw new TypeError('a function is no input that a key can be made of')
  return value
}
