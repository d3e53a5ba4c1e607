import { createHash } from 'node:crypto'
import { cpSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { matchShow, type ShowEvent } from '@isochip/show/node'
import { filesBelow } from '../../support/filesBelow.ts'
import { writeLargeShow } from '../../support/largeShow.ts'
import { noControls } from '../../support/noControls.ts'

export interface BrokenCache {
  /** What was done to an entry, and how often. */
  readonly done: Readonly<Record<string, number>>
  /** Entries of which a run said that they were thrown away. */
  readonly told: number
  /** What was not as it should be, in words; empty where all is well. */
  readonly faults: readonly string[]
}

const entryName = /^[0-9a-f]{64}\.kept$/

/** Ways of breaking an entry: of its own bytes, or of another entry's. */
const ways: Record<string, (bytes: Buffer, other: Buffer, random: () => number) => Buffer> = {
  'one bit flipped': (bytes, _, random) => {
    const broken = Buffer.from(bytes)
    broken[Math.floor(random() * broken.length)]! ^= 1 << Math.floor(8 * random())
    return broken
  },
  'cut short': (bytes, _, random) => bytes.subarray(0, Math.floor(random() * bytes.length)),
  'another entry in its place': (_, other) => other,
  'begun as itself, ended as another': (bytes, other, random) => {
    const at = Math.floor(random() * Math.min(bytes.length, other.length))
    return Buffer.concat([bytes.subarray(0, at), other.subarray(at)])
  },
  'a run of zeros, as a crash leaves': (bytes, _, random) => {
    const broken = Buffer.from(bytes)
    const at = Math.floor(random() * broken.length)
    return broken.fill(0, at, Math.min(broken.length, at + 512))
  },
}

const sums = (folder: string) =>
  filesBelow(folder)
    .map(
      (name) =>
        `${createHash('sha256')
          .update(readFileSync(join(folder, name)))
          .digest('hex')}  ${name}`,
    )
    .join('\n')

/**
 * Breaks one kept entry of a show after the other, in every way, and matches the show with what is kept: the files have
 * to be those of a run that knows nothing.
 *
 * @param folder for the show, the cache and the files
 */
export async function brokenCache(folder: string, rounds: number): Promise<BrokenCache> {
  const show = await writeLargeShow(join(folder, 'card'), {
    cameras: 2,
    setups: 1,
    width: 320,
    height: 180,
    corners: true,
    lattice: 9,
    controls: noControls,
  })
  const run = async (out: string, cache: string | undefined) => {
    const told: ShowEvent[] = []
    await matchShow(show, {
      out,
      workers: 0,
      ...(cache === undefined ? {} : { cache }),
      onEvent: (event) => {
        if (event.type === 'entry-discarded') told.push(event)
      },
    })
    return told
  }
  const [whole, kept, out] = [join(folder, 'whole'), join(folder, 'kept'), join(folder, 'out')]
  await run(join(folder, 'calm'), undefined)
  const calm = sums(join(folder, 'calm'))
  // Twice: what is known of the files' times is kept only once they have settled.
  for (let i = 0; i < 2; i++) await run(out, whole)
  const entries = readdirSync(whole).filter((name) => entryName.test(name))

  // A fixed sequence of places.
  let state = 11
  const random = () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0
    return state / 2 ** 32
  }
  const faults: string[] = []
  const done: Record<string, number> = {}
  let told = 0
  for (let round = 0; round < rounds; round++) {
    const [name, another] = [entries[round % entries.length]!, entries[(round + 1) % entries.length]!]
    const [way, break_] = Object.entries(ways)[Math.floor(round / entries.length) % 5]!
    rmSync(kept, { recursive: true, force: true })
    cpSync(whole, kept, { recursive: true })
    const [bytes, other] = [name, another].map((one) => readFileSync(join(whole, one)))
    const broken = break_(bytes!, other!, random)
    if (broken.equals(bytes!)) continue
    writeFileSync(join(kept, name), broken)
    done[way] = (done[way] ?? 0) + 1
    // Into the files of before, which may then be taken for good, or into a folder that has none.
    if (round % 2 === 0) rmSync(out, { recursive: true, force: true })
    try {
      told += (await run(out, kept)).length
      if (sums(out) !== calm) faults.push(`round ${round}: ${way}: other bytes`)
    } catch (cause) {
      faults.push(`round ${round}: ${way}: ${cause instanceof Error ? cause.message : String(cause)}`)
    }
  }
  return { done, told, faults }
}
