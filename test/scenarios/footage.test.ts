import { execFileSync, spawnSync } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { parseMatchFile } from '@isochip/show'
import { expect, test } from 'vitest'
import { runCommand } from './support/runCommand.ts'
import { replaced, smallShowText, writeSmallShow } from './support/smallShow.ts'

const hasFfmpeg = spawnSync('ffmpeg', ['-version']).status === 0

test('a chart in a DPX file gives the match of the same chart in a PNG file', async (context) => {
  if (!hasFfmpeg) return context.skip('there is no ffmpeg on this machine')
  const folder = await writeSmallShow({ 'show.yaml': replaced(smallShowText, 'crane-*.png', 'crane.dpx') })
  // ffmpeg 5.1 writes 10-bit RGB; the frames are the ones of the still.
  execFileSync('ffmpeg', [
    '-loglevel',
    'error',
    '-i',
    join(folder, 'crane-1.png'),
    '-pix_fmt',
    'gbrp10le',
    join(folder, 'crane.dpx'),
  ])
  const still = await writeSmallShow()
  const model = async (base: string) => {
    const { status, err } = await runCommand('match', join(base, 'show.yaml'))
    expect(err).toBe('')
    expect(status).toBe(0)
    const file = join(base, 'isochip-out', 'default', 'crane.match.json')
    return await parseMatchFile(readFileSync(file, 'utf8'), file)
  }
  const [dpx, png] = [await model(folder), await model(still)]
  expect(dpx.bits).toBe(10)
  expect(png.bits).toBe(16)
  for (const c of [0, 1, 2] as const) {
    // Rounding to 10 bits, over hundreds of noisy pixels a patch; ffmpeg scales 16 to 10 bits by 1/64, not 1023/65535.
    expect(Math.abs(dpx.model.gain[c] / png.model.gain[c] - 1)).toBeLessThan(0.005)
    for (const k of [0, 1, 2] as const)
      expect(Math.abs(dpx.model.matrix[c][k] - png.model.matrix[c][k])).toBeLessThan(0.01)
  }
})

test('a movie that is none: the file, and status 2', async (context) => {
  if (!hasFfmpeg) return context.skip('there is no ffmpeg on this machine')
  const two = smallShowText
    .split('\n')
    .filter((line) => !line.includes('id: cross'))
    .join('\n')
  const folder = await writeSmallShow({
    'show.yaml': replaced(two, 'crane-*.png', 'crane.mov'),
    'crane.mov': 'no movie',
  })
  const { status, err } = await runCommand('match', join(folder, 'show.yaml'))
  expect(err).toContain(
    `error: ${join(folder, 'crane.mov')}, camera crane, setup default: the first bytes are of no`,
  )
  expect(status).toBe(2)
})
