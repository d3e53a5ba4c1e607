import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { builtinChart } from '@isochip/core'
import { createFrame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { expect, it } from 'vitest'
import { scratchFolder } from '../../../test/support/scratchFolder.ts'
import { readCharts } from '../src/node.ts'

const chart = builtinChart('quay48')
const { pitch, patch } = chart.geometry

/** Two flat charts on grey, the second of half the size, in the sRGB codes that quay48 is printed with. */
async function twoCharts(): Promise<Uint8Array> {
  const [width, height] = [560, 260]
  const data = new Uint16Array(3 * width * height).fill(9000)
  for (const [x0, y0, wide] of [
    [30, 30, 300],
    [380, 60, 150],
  ] as const) {
    const high = wide / chart.geometry.aspect
    for (const [k, { value }] of chart.patches.entries()) {
      const left = x0 + wide * pitch[0] * (k % chart.columns)
      const top = y0 + high * pitch[1] * Math.floor(k / chart.columns)
      const [X, Y, Z] = value!
      const linear = [
        3.2406 * X - 1.5372 * Y - 0.4986 * Z,
        -0.9689 * X + 1.8758 * Y + 0.0415 * Z,
        0.0557 * X - 0.204 * Y + 1.057 * Z,
      ]
      const codes = linear.map((light) => Math.round(65535 * Math.max(0, Math.min(1, light)) ** (1 / 2.2)))
      for (let y = Math.round(top); y < top + high * patch[1]; y++)
        for (let x = Math.round(left); x < left + wide * patch[0]; x++)
          for (let c = 0; c < 3; c++)
            data[3 * (y * width + x) + c] = codes[c]! + (((x * 7 + y * 13 + c * 5) % 11) - 5) * 20
    }
  }
  return encodeFrame(createFrame(width, height, data), { format: 'png' })
}

it('reads the frames of a folder, the largest chart or all of them', async () => {
  const folder = scratchFolder('read-folder')
  writeFileSync(join(folder, 'a.png'), await twoCharts())
  writeFileSync(join(folder, 'notes.txt'), 'no frame')
  const steps: string[] = []
  const one = await readCharts([folder], {
    chart,
    onStep: ({ step, done, all: most }) => steps.push(`${step} ${done + 1} of ${most}`),
  })
  // The first look finds it.
  expect(steps).toEqual(['opening 1 of 1', expect.stringMatching(/^looking 1 of \d$/)])
  const middle = (corners: readonly (readonly [number, number])[]) =>
    corners.reduce((sum, [x]) => sum + x / 4, 0)
  expect(middle(one.corners)).toBeCloseTo(180, -1)
  expect(one.others).toEqual([])
  expect(one.confidence!.value).toBeGreaterThan(0.5)
  const several = one.warnings.filter(({ code }) => code === 'charts-several')
  expect(several.map(({ message }) => message)).toEqual([
    expect.stringMatching(/there is another: with its first patch at 38\d, [56]\d/),
  ])
  const all = await readCharts([folder], { chart, all: true })
  expect(all.warnings.map(({ code }) => code)).not.toContain('charts-several')
  expect(all.others).toHaveLength(1)
  expect(middle(all.others[0]!.corners)).toBeCloseTo(455, -1)
  for (const [k, { rgb }] of all.others[0]!.readings.patches.entries())
    for (const c of [0, 1, 2] as const)
      expect(Math.abs(rgb[c] - all.readings.patches[k]!.rgb[c])).toBeLessThan(2e-3)

  const empty = scratchFolder('read-empty')
  writeFileSync(join(empty, 'notes.txt'), 'no frame')
  await expect(readCharts([empty], { chart })).rejects.toMatchObject({ code: 'frame-unreadable' })
})
