import { spawn } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { expect, test } from 'vitest'
import { filesBelow, runCommand } from './support/runCommand.ts'
import { smallShowText, writeSmallShow } from './support/smallShow.ts'

const script = fileURLToPath(new URL('./support/spawnedMatch.ts', import.meta.url))

/** Starts a match in a process of its own and kills it so many milliseconds after it began. Did the kill hit it? */
function killed(after: number, ...argv: string[]): Promise<boolean> {
  const child = spawn(process.execPath, ['--import', 'tsx/esm', '-C', '@isochip/source', script, ...argv], {
    stdio: ['ignore', 'pipe', 'ignore'],
  })
  child.stdout.once('data', () => setTimeout(() => child.kill('SIGKILL'), after))
  return new Promise((resolve) => child.once('close', (_, signal) => resolve(signal === 'SIGKILL')))
}

test('killed at any moment, it leaves whole files only, and a new run makes up for it', async () => {
  const folder = await writeSmallShow({
    'small.yaml': `${smallShowText}output: { size: 9 }\n`,
    'large.yaml': `${smallShowText}output: { size: 33 }\n`,
  })
  const files = async (show: string, out: string) => {
    expect((await runCommand('match', join(folder, show), '--out', out)).status).toBe(0)
    return new Map(filesBelow(out).map((name) => [name, readFileSync(join(out, name)).toString('base64')]))
  }
  const small = await files('small.yaml', join(folder, 'a'))
  const large = await files('large.yaml', join(folder, 'b'))
  const out = join(folder, 'c')

  // A fixed sequence of moments, spread over the time that a run takes.
  let state = 7
  const random = () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0
    return state / 2 ** 32
  }
  let hits = 0
  for (let round = 0; round < 10; round++) {
    const [show, expected] =
      round % 2 === 0 ? (['small.yaml', small] as const) : (['large.yaml', large] as const)
    if (await killed(1200 * random(), 'match', join(folder, show), '--out', out)) hits++
    const left = await Promise.resolve(filesBelow(folder)).then((names) =>
      names.filter((name) => name.startsWith('c/')).map((name) => name.slice(2)),
    )
    for (const name of left.filter((one) => !one.endsWith('.isochip-tmp'))) {
      const bytes = readFileSync(join(out, name)).toString('base64')
      expect([small.get(name), large.get(name)], `${name} after round ${round}`).toContain(bytes)
    }
    expect(expected.size).toBeGreaterThan(0)
  }
  expect(hits, 'runs that were killed before their end').toBeGreaterThan(2)
  expect(await files('large.yaml', out)).toEqual(large)
}, 120_000)
