import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { readClf, readCube } from '@isochip/export'
import { parseMatchFile } from '@isochip/show'
import { main } from 'isochip'
import { filesBelow } from '../../support/filesBelow.ts'
import { limits } from '../limits.ts'
import type { InputKind, Target } from '../target.ts'
import { copyOf, matchedFolder } from './matchedFolder.ts'
import { bytesOf } from './samples.ts'

/** Exit status of the command for a fault of its own. */
const bug = 1

/**
 * The command with one file of a whole folder replaced: in what it ends, what it says, and what it has written.
 *
 * @param argv with the folder's paths
 */
function withFile(
  name: string,
  kind: InputKind,
  file: string,
  argv: readonly string[],
  more: Partial<Target> = {},
): Target {
  return {
    name,
    kind,
    samples: async (folder) => [readFileSync(join((await matchedFolder(folder)).folder, file))],
    share: 0.2,
    ...more,
    run: async (bytes, folder) => {
      // Two folders deep, so that a name that leads upwards leads somewhere that is looked at.
      const within = join(folder, 'a', 'b')
      copyOf(await matchedFolder(dirname(folder)), within)
      const path = join(within, file)
      mkdirSync(dirname(path), { recursive: true })
      writeFileSync(path, bytes)
      const before = new Set(filesBelow(folder))
      await runCommand(argv.map((word) => word.replace(/^@/, `${within}/`)))
      const strange = filesBelow(folder).filter(
        (one) => !before.has(one) && !/^a\/b\/(out|card-out|new|kept|card\/lineup\.json)(\/|$)/.test(one),
      )
      if (strange.length > 0)
        throw new Error(`written outside the folder for output: ${strange.join(', ').slice(0, 500)}`)
      return await whatIsThere(within)
    },
  }
}

async function runCommand(argv: readonly string[]): Promise<void> {
  const said: string[] = []
  const terminal = {
    out: () => undefined,
    err: (text: string) => void said.push(text),
    colour: false,
    errColour: false,
    live: false,
    width: 80,
  }
  const status = await main(argv, terminal)
  const text = said.join('')
  if (status === bug || /internal error/.test(text))
    throw new Error(`the command says: ${text.slice(0, 1500)}`)
  // Beside its message a line holds a path, which is as long as the system allows.
  const long = text.split('\n').find((line) => line.length > limits.messageLine + 1200)
  if (long !== undefined) throw new Error(`a line of ${long.length} characters: ${long.slice(0, 300)}`)
}

/** Whatever was written is whole: our own readers take it. */
async function whatIsThere(within: string): Promise<unknown> {
  const found: unknown[] = []
  for (const name of ['out', 'card-out', 'new']) {
    const out = join(within, name)
    if (!existsSync(out)) continue
    for (const file of filesBelow(out)) {
      const path = join(out, file)
      if (file.endsWith('.cube')) found.push(readCube(readFileSync(path), { file }).lut)
      if (file.endsWith('.clf')) found.push(readClf(readFileSync(path), { file }).list)
      if (file.endsWith('.match.json'))
        found.push((await parseMatchFile(readFileSync(path, 'utf8'), file)).model)
    }
  }
  return found
}

const match = ['match', '@show.yaml', '--out', '@new', '--workers', '0', '--no-cache']
const matchFrames = ['match', '@card/show.json', '--out', '@new', '--workers', '0', '--no-cache']
const again = ['match', '@show.yaml', '--out', '@out', '--workers', '0', '--cache', '@kept']

const lock = JSON.stringify({
  host: 'elsewhere',
  pid: 1,
  run: 'x',
  since: '2026-03-01T10:00:00.000Z',
  id: '0123456789abcdef',
})

/** Of the command as a whole. */
export const commandTargets: readonly Target[] = [
  withFile('match: show', 'yaml', 'show.yaml', match, { share: 0.4 }),
  withFile('match: show of frames', 'yaml', 'card/show.json', matchFrames),
  withFile('match: readings', 'text', 'pocket.csv', match, { share: 0.4 }),
  withFile('match: readings of the target', 'text', 'jib.csv', match),
  withFile('match: chart', 'json', 'chart.json', match),
  withFile('match: table', 'text', 'table.cube', match),
  withFile('match: frame', 'binary', 'card/camera02/scene001.png', matchFrames, { megabytes: 3000 }),
  withFile('match: list of files', 'text', 'out/checksums.sha256', again),
  withFile('match: lock', 'json', 'out/.isochip-lock', again, {
    samples: () => Promise.resolve([bytesOf(lock)]),
  }),
  withFile('line-up: rounds', 'json', 'card/lineup.json', ['lineup', '@card/show.json', '--once', '--json']),
  withFile('verify: report', 'json', 'out/report.json', ['verify', '@show.yaml', '--luts', '@out']),
  withFile('verify: LUT', 'text', 'out/deck/pocket.cube', ['verify', '@show.yaml', '--luts', '@out']),
  withFile('verify: files', 'text', 'out/checksums.sha256', ['verify', '--files', '@out']),
  withFile(
    'bake',
    'json',
    'out/deck/pocket.match.json',
    ['bake', '@out/deck/pocket.match.json', '--size', '5', '--out', '@new/a.cube'],
    { share: 0.4 },
  ),
  withFile('bake: clf', 'json', 'out/deck/pocket.match.json', [
    'bake',
    '@out/deck/pocket.match.json',
    '--format',
    'clf',
    '--out',
    '@new/a.clf',
  ]),
  withFile('bake: look', 'xml', 'look.clf', [
    'bake',
    '@out/deck/pocket.match.json',
    '--size',
    '5',
    '--then',
    '@look.clf',
    '--out',
    '@new/a.cube',
  ]),
  withFile('apply', 'xml', 'look.clf', [
    'apply',
    '@look.clf',
    '@card/camera02/scene001.png',
    '--out',
    '@new',
  ]),
  withFile('charts', 'json', 'chart.json', ['charts', '@chart.json', '--json']),
]
