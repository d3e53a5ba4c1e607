import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { lineUpShow, matchShow } from '@isochip/show/node'
import { writeLargeShow } from '../../support/largeShow.ts'
import { chartText, clfTexts, lightTexts, readingsOf, showText, tableText } from './samples.ts'

/** A show by readings that was matched, and one by small frames: what every folder of a case begins as. */
export interface MatchedFolder {
  readonly folder: string
  readonly matchFiles: readonly Uint8Array[]
  readonly checksums: Uint8Array
}

const made = new Map<string, Promise<MatchedFolder>>()

/** Made once a process. */
export function matchedFolder(within: string): Promise<MatchedFolder> {
  const before = made.get(within)
  if (before !== undefined) return before
  const folder = make(join(within, 'matched'))
  made.set(within, folder)
  return folder
}

async function make(folder: string): Promise<MatchedFolder> {
  mkdirSync(folder, { recursive: true })
  writeFileSync(join(folder, 'show.yaml'), showText)
  writeFileSync(join(folder, 'chart.json'), chartText())
  writeFileSync(join(folder, 'table.cube'), tableText())
  writeFileSync(join(folder, 'light.csv'), lightTexts()[0]!)
  writeFileSync(join(folder, 'look.clf'), clfTexts()[1]!)
  for (const camera of ['jib', 'rail', 'pocket'] as const)
    writeFileSync(join(folder, `${camera}.csv`), readingsOf(camera))
  const cache = join(folder, 'kept')
  await matchShow(join(folder, 'show.yaml'), { out: join(folder, 'out'), workers: 0, cache })
  const frames = await writeLargeShow(join(folder, 'card'), {
    cameras: 2,
    setups: 1,
    width: 160,
    height: 90,
    corners: true,
  })
  const small = { ...JSON.parse(readFileSync(frames, 'utf8')), output: { size: 5 } }
  writeFileSync(frames, JSON.stringify(small))
  await matchShow(frames, { out: join(folder, 'card-out'), workers: 0 })
  for await (const _ of lineUpShow(frames, { once: true }));
  const out = join(folder, 'out', 'deck')
  return {
    folder,
    matchFiles: readdirSync(out)
      .filter((name) => name.endsWith('.match.json'))
      .map((name) => readFileSync(join(out, name))),
    checksums: readFileSync(join(folder, 'out', 'checksums.sha256')),
  }
}

/** A copy to be broken. */
export function copyOf({ folder }: MatchedFolder, into: string): void {
  if (!existsSync(into)) mkdirSync(into, { recursive: true })
  for (const name of readdirSync(folder)) cpSync(join(folder, name), join(into, name), { recursive: true })
}
