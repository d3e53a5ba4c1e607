import { builtinChart, type Vec3 } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { createFrame, sampleChart } from '../src/index.ts'
import { drawScene, slantedCorners } from './support/scene.ts'

const chart = builtinChart('chart24')
const corners = slantedCorners
const level = (index: number): Vec3 => [0.1 + index / 30, 0.75 - index / 45, 0.2 + ((index * 7) % 24) / 40]
const noise = 0.004
const scene = { width: 400, height: 300, corners, chart, level, noise }

/** The scene by a camera whose samples go no further than `limit`, in all channels. */
function limited(limit: number, more: Partial<typeof scene & { bits: 8 | 16 }> = {}) {
  const { width, height, data } = drawScene({ ...scene, ...more })
  const most = Math.round(limit * (data instanceof Uint8Array ? 255 : 65535))
  return createFrame(
    width,
    height,
    data.map((code) => Math.min(code, most)),
  )
}

const flat = (frame: ReturnType<typeof limited>) =>
  sampleChart({ frames: [frame], chart, corners, range: 'full' }).warnings.filter(
    ({ code }) => code === 'patch-flat',
  )

// What a limiter does to normal noise is known: beyond three standard deviations above it nothing is left, at one below
// it 0.87 of the deviation (a normal distribution cut off there).
describe('flatPatches', () => {
  it('tells the patches that a camera clips below the end of its code range, and in which channels', () => {
    const limit = 0.7
    const told = new Map(flat(limited(limit)).map(({ place, message }) => [place?.patch, message]))
    const channels = (over: number) =>
      chart.patches.flatMap(({ name }, index) =>
        ['red', 'green', 'blue']
          .filter((_, c) => level(index)[c]! > over)
          .map((channel) => `${name}: ${channel}`),
      )
    const said = [...told].flatMap(([patch, message]) =>
      (/noise in (.*) is \d+ %/.exec(message)?.[1] ?? '').split(' and ').map((one) => `${patch}: ${one}`),
    )
    const clear = channels(limit + 3 * noise)
    expect(clear.length).toBeGreaterThan(8)
    expect(said).toEqual(expect.arrayContaining(clear))
    expect(channels(limit - noise)).toEqual(expect.arrayContaining(said))
  })

  it.each([1, 0.95, 0.905])('says nothing where the highest patches keep their noise below %d', (limit) => {
    expect(Math.max(...chart.patches.flatMap((_, index) => level(index)))).toBeLessThan(0.9)
    expect(flat(limited(limit))).toEqual([])
  })

  it('says nothing where the noise is smaller than a code, and most pixels of any patch share one', () => {
    expect(flat(limited(0.7, { bits: 8, noise: 0.3 / 255 }))).toEqual([])
  })

  it('leaves to the share of clipped pixels what clips at the end of the range', () => {
    const over = (index: number): Vec3 => [0.3 + index / 30, 0.5, 0.5]
    const { warnings, areas } = sampleChart({
      frames: [limited(1, { level: over })],
      chart,
      corners,
      range: 'full',
    })
    expect(areas.filter(({ clipped }) => clipped === 1).length).toBeGreaterThan(0)
    expect(warnings.filter(({ code }) => code === 'patch-flat')).toEqual([])
  })
})
