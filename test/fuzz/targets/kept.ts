import { cpSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { basename, dirname, join } from 'node:path'
import { readCube } from '@isochip/export'
import { matchShow } from '@isochip/show/node'
import { filesBelow } from '../../support/filesBelow.ts'
import { writeLargeShow } from '../../support/largeShow.ts'
import { changeKept, digestOf, entryOf } from '../mutate/kept.ts'
import type { Target } from '../target.ts'

interface KeptShow {
  readonly run: () => Promise<unknown>
  /** What the show has kept, whole; the folder that a run looks into; its files. */
  readonly whole: string
  readonly kept: string
  readonly out: string
  readonly entries: readonly string[]
  readonly files: ReadonlyMap<string, Buffer>
}

const made = new Map<string, Promise<KeptShow>>()

/** Made once a process. */
function keptShow(within: string): Promise<KeptShow> {
  const before = made.get(within)
  if (before !== undefined) return before
  const show = make(join(within, 'keeping'))
  made.set(within, show)
  return show
}

async function make(folder: string): Promise<KeptShow> {
  const show = await writeLargeShow(join(folder, 'card'), {
    cameras: 2,
    setups: 1,
    width: 160,
    height: 90,
    corners: true,
    lattice: 5,
  })
  const [whole, kept, out] = [join(folder, 'whole'), join(folder, 'kept'), join(folder, 'out')]
  const run = () => matchShow(show, { out, cache: kept, workers: 0 })
  // Twice: what is known of the files' times is kept only once they have settled.
  for (let i = 0; i < 2; i++) await run()
  cpSync(kept, whole, { recursive: true })
  return {
    run,
    whole,
    kept,
    out,
    entries: readdirSync(whole).filter((name) => name.endsWith('.kept')),
    files: new Map(filesBelow(out).map((name) => [name, readFileSync(join(out, name))])),
  }
}

/**
 * One entry of a show's cache replaced, and the show matched anew. The files have to be those of before: unless the
 * entry was signed by whoever changed it. Then they may be others, and what is asked is that the run ends in files that
 * can be read, or in an error.
 */
export const keptTargets: readonly Target[] = [
  {
    name: 'match: kept entry',
    kind: 'binary',
    share: 0.5,
    change: changeKept,
    samples: async (folder) => {
      const { whole, entries } = await keptShow(folder)
      return entries.map((name) => readFileSync(join(whole, name)))
    },
    run: async (bytes, folder) => {
      const { run, whole, kept, out, entries, files } = await keptShow(dirname(folder))
      rmSync(kept, { recursive: true, force: true })
      cpSync(whole, kept, { recursive: true })
      const entry = entryOf(bytes)
      // By its key, where it still has one of these; else in the place of any, always the same of the same bytes.
      const name =
        entries.find((one) => one === `${entry?.key}.kept`) ?? entries[bytes.length % entries.length]!
      writeFileSync(join(kept, name), bytes)
      // Over the files of before, which may then be taken for good, or into a folder that has none.
      if (bytes.length % 2 === 0) rmSync(out, { recursive: true, force: true })
      const signed =
        entry !== undefined &&
        entry.sum === digestOf(entry) &&
        !Buffer.from(bytes).equals(readFileSync(join(whole, name)))
      try {
        await run()
        return signed && `${entry.key}.kept` === name ? lutsOf(out) : sameFiles(out, files)
      } finally {
        if (signed) rmSync(out, { recursive: true, force: true })
      }
    },
  },
]

function sameFiles(out: string, files: ReadonlyMap<string, Buffer>): undefined {
  const there = filesBelow(out)
  const other = [...files].filter(
    ([name, content]) => !there.includes(name) || !content.equals(readFileSync(join(out, name))),
  )
  if (other.length > 0 || there.length !== files.size)
    throw new Error(`other files than before: ${other.map(([name]) => basename(name)).join(', ')}`)
}

const lutsOf = (out: string) =>
  filesBelow(out)
    .filter((name) => name.endsWith('.cube'))
    .map((name) => readCube(readFileSync(join(out, name)), { file: name }).lut)
