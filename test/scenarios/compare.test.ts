import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { readingsToCsv } from '@isochip/frames'
import { comparisonFile } from '@isochip/report/shapes'
import type { Comparison } from '@isochip/show/node'
import { describe, expect, test } from 'vitest'
import { runCommand } from './support/runCommand.ts'
import { smallCameras, smallReadings, smallShowText, writeSmallShow } from './support/smallShow.ts'

const cross = { ...smallCameras[1]!, lift: [0, 0, 0] as const }

describe('compare', () => {
  test('finds the matrix that made a camera, each way, and nothing that it leaves', async () => {
    const folder = await writeSmallShow({ 'cross.csv': readingsToCsv(smallReadings(cross)) })
    const { status, out, err } = await runCommand('compare', join(folder, 'show.yaml'), '--json')
    expect(err).toBe('')
    expect(status).toBe(0)
    // The document is what its schema says, and nothing besides.
    expect(comparisonFile.parse(JSON.parse(out))).toEqual(JSON.parse(out))
    const [setup] = (JSON.parse(out) as Comparison).setups
    expect(setup!.maps.map(({ from, to }) => `${from} ${to}`)).toEqual([
      'wide cross',
      'cross wide',
      'wide crane',
      'crane wide',
      'cross crane',
      'crane cross',
    ])
    const [there, back] = setup!.maps
    cross.matrix.forEach((row, r) => {
      row.forEach((value, c) => {
        // The frame of `wide` is noisy, ±100/65535 on over 900 pixels a patch.
        expect(Math.abs(there!.matrix[r as 0][c as 0] - value)).toBeLessThan(0.003)
        const product = [0, 1, 2].reduce(
          (sum, k) => sum + there!.matrix[r as 0][k as 0] * back!.matrix[k as 0][c as 0],
          0,
        )
        expect(Math.abs(product - (r === c ? 1 : 0))).toBeLessThan(0.003)
      })
      expect(there!.noiseAmplification[r as 0]).toBeCloseTo(Math.hypot(...row), 2)
    })
    expect(there!.remaining.max).toBeLessThan(0.2)
    for (const angle of setup!.pairs[0]!.principalAngles) expect(angle).toBeLessThan(0.1)
    // `wide` is the chart's own values in BT.709, clipped where the colour lies outside.
    expect(setup!.metamerism.wide!.index).toBeGreaterThan(98)
  })

  test('weights and view of the show are for its matches: what sensors see is compared on scene light', async () => {
    const plain = await writeSmallShow()
    const other = await writeSmallShow({
      'show.yaml': `${smallShowText}fit: { view: display, weights: { patches: { blue: 0, red: 9 } } }\n`,
    })
    const [one, two] = await Promise.all(
      [plain, other].map((folder) => runCommand('compare', join(folder, 'show.yaml'), '--json')),
    )
    expect(one!.out).toBe(two!.out)
    expect((JSON.parse(one!.out) as Comparison).setups[0]!.maps[0]!.patches).toBeGreaterThan(20)
  })

  test('each camera against the observer, and on what that rests', async () => {
    const folder = await writeSmallShow()
    const { out } = await runCommand('compare', join(folder, 'show.yaml'), '--json')
    const { setups, assumptions } = JSON.parse(out) as Comparison
    const [wide] = setups[0]!.observer
    expect(wide!.toObserver).toMatchObject({ from: 'wide', to: 'observer' })
    // `wide` is the chart's values in BT.709: its matrix to XYZ is the one that ITU-R BT.709-6 defines (SMPTE RP 177).
    const published = [
      [0.4124, 0.3576, 0.1805],
      [0.2126, 0.7152, 0.0722],
      [0.0193, 0.1192, 0.9505],
    ]
    wide!.toObserver.matrix.forEach((row, r) => {
      row.forEach((value, c) => {
        // The frame is noisy, and what lies outside BT.709 clips.
        expect(Math.abs(value - published[r]![c]!)).toBeLessThan(0.01)
      })
    })
    expect(assumptions.join(' ')).toContain('not for quoting')
  })

  test('writes a page, a table and a document, which replace their like and nothing else', async () => {
    const folder = await writeSmallShow()
    const out = join(folder, 'compared')
    const { status, out: said } = await runCommand('compare', join(folder, 'show.yaml'), '--out', out)
    expect(status).toBe(0)
    expect(said).toContain(`Look at ${join(out, 'compare.html')}`)
    const [csv, html, json] = ['csv', 'html', 'json'].map((kind) =>
      readFileSync(join(out, `compare.${kind}`), 'utf8'),
    )
    expect(readdirSync(out).sort()).toEqual(['compare.csv', 'compare.html', 'compare.json'])
    const { setups, isochip } = JSON.parse(json!)
    expect(isochip).toBe('compare/1')
    expect(comparisonFile.parse(JSON.parse(json!))).toEqual(JSON.parse(json!))
    // Three pairs of cameras and three with the observer, both ways, under one head.
    const [head, ...rows] = csv!.trimEnd().split('\r\n')
    expect(rows).toHaveLength(2 * (3 + 3))
    const at = (name: string) => Number(rows[0]!.split(',')[head!.split(',').indexOf(name)])
    const [first] = setups[0].maps
    expect(at('m12')).toBeCloseTo(first.matrix[0][1], 6)
    expect(at('m31_high')).toBeCloseTo(first.interval[2][0][1], 6)
    expect(at('dE00_left_mean')).toBeCloseTo(first.remaining.mean, 6)
    expect(at('angle_3')).toBeCloseTo(setups[0].pairs[0].principalAngles[2], 5)
    expect(html).toContain('wide → cross')
    expect((await runCommand('compare', join(folder, 'show.yaml'), '--out', out)).status).toBe(0)
    writeFileSync(join(out, 'compare.csv'), 'mine')
    const refused = await runCommand('compare', join(folder, 'show.yaml'), '--out', out)
    expect(refused.status).toBe(2)
    expect(readFileSync(join(out, 'compare.csv'), 'utf8')).toBe('mine')
    expect((await runCommand('compare', join(folder, 'show.yaml'), '--out', out, '--force')).status).toBe(0)
  })

  test('its tables fit 80 columns', async () => {
    const folder = await writeSmallShow()
    const { status, out } = await runCommand('compare', join(folder, 'show.yaml'))
    expect(status).toBe(0)
    expect(out).toContain('wide → cross')
    for (const line of out.split('\n')) expect(line.length, line).toBeLessThanOrEqual(80)
  })

  test('a camera that sees grey only is told of, and the others are compared', async () => {
    const third = 1 / 3
    const grey = {
      ...cross,
      matrix: [
        [third, third, third],
        [third, third, third],
        [third, third, third],
      ] as const,
    }
    const folder = await writeSmallShow({ 'cross.csv': readingsToCsv(smallReadings(grey)) })
    const { status, out } = await runCommand('compare', join(folder, 'show.yaml'), '--json')
    expect(status).toBe(0)
    const [setup] = (JSON.parse(out) as Comparison).setups
    expect(setup!.maps.map(({ from, to }) => `${from} ${to}`)).toContain('wide crane')
    expect(setup!.cautions.join('\n')).toContain('the patches span 1 of the 3 dimensions of camera cross')
    expect(setup!.metamerism.cross).toBeUndefined()
  })

  test('one camera alone is nothing to compare', async () => {
    const lines = smallShowText.split('\n').filter((line) => !/id: (cross|crane)/.test(line))
    const folder = await writeSmallShow({ 'show.yaml': lines.join('\n') })
    const { status, out, err } = await runCommand('compare', join(folder, 'show.yaml'))
    expect(err).toContain('no setup of the show has two cameras to be compared')
    expect(out).toBe('')
    expect(status).toBe(2)
  })
})
