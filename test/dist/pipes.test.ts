import { spawn, spawnSync } from 'node:child_process'
import { closeSync, existsSync, openSync } from 'node:fs'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { replaced, smallShowText, writeSmallShow } from '../scenarios/support/smallShow.ts'
import { asBuilt } from '../support/asBuilt.ts'

/** Runs the command and closes one of its pipes before anything comes through it. */
function leftBy(stream: 'stdout' | 'stderr', argv: readonly string[]) {
  const child = spawn(process.execPath, [...asBuilt, ...argv], { stdio: ['ignore', 'pipe', 'pipe'] })
  child[stream].destroy()
  let other = ''
  child[stream === 'stdout' ? 'stderr' : 'stdout'].on('data', (data: Buffer) => {
    other += data.toString()
  })
  return new Promise<{ status: number | null; other: string }>((resolve) =>
    child.once('close', (status) => resolve({ status, other })),
  )
}

test('a reader that goes away is no fault of ours: the work is done, with its own exit status', async () => {
  const strict = `${smallShowText}tolerance: { mean: 0.000001, max: 0.000001 }\n`
  const folder = await writeSmallShow({ 'strict.yaml': strict })
  const out = ['--out', join(folder, 'out'), '--no-cache', '--workers', '0']
  expect(await leftBy('stdout', ['match', join(folder, 'show.yaml'), ...out])).toEqual({
    status: 0,
    other: '',
  })
  expect(await leftBy('stdout', ['match', join(folder, 'strict.yaml'), ...out])).toMatchObject({ status: 3 })
  const broken = replaced(smallShowText, 'wide.png', 'none.png')
  const bad = await writeSmallShow({ 'bad.yaml': broken })
  expect(await leftBy('stderr', ['match', join(bad, 'bad.yaml'), ...out])).toMatchObject({ status: 2 })
})

// full(4): writing to it fails as on a full disk. Linux has it.
test.skipIf(!existsSync('/dev/full'))(
  'what cannot be printed because the disk is full is told, and no fault within',
  async () => {
    const folder = await writeSmallShow()
    const full = openSync('/dev/full', 'w')
    const out = ['--out', join(folder, 'out'), '--no-cache', '--workers', '0']
    const { status, stderr } = spawnSync(
      process.execPath,
      [...asBuilt, 'match', join(folder, 'show.yaml'), ...out],
      { stdio: ['ignore', full, 'pipe'], encoding: 'utf8' },
    )
    closeSync(full)
    expect(status).toBe(2)
    expect(stderr).toBe('error: what was to be printed is lost: the disk is full\n')
  },
)
