import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { builtinChart } from '@isochip/core'
import { expect, it } from 'vitest'
import { scratchFolder } from '../../../test/support/scratchFolder.ts'
import { twoCharts } from '../../../test/support/twoCharts.ts'
import { readCharts } from '../src/node.ts'

const chart = builtinChart('quay48')

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
