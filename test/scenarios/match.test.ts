import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { apply3, decodeRgb, inverse3, resolveEncoding, type Vec3 } from '@isochip/core'
import { lutTransform, readCube } from '@isochip/export'
import { parseMatchFile } from '@isochip/show'
import { lutFunction, readLutFile } from '@isochip/show/node'
import { describe, expect, test } from 'vitest'
import { fitted } from '../../packages/show/test/fitted.ts'
import { filesBelow } from '../support/filesBelow.ts'
import { copyOfMatched, matchedSmallShow } from './support/matchedSmallShow.ts'
import { runCommand } from './support/runCommand.ts'
import { replaced, smallCameras, smallReadings, smallShowText, writeSmallShow } from './support/smallShow.ts'

/** A .cube holds what lies outside 0…1, a .clf may; whoever shows it cuts it off. */
const inRange = (value: number) => Math.min(1, Math.max(0, value))

describe('match', () => {
  test('writes what it says it writes, all of it known for its own', async () => {
    const folder = await writeSmallShow()
    const { status, out, err } = await runCommand('match', join(folder, 'show.yaml'))
    expect(err).toBe('')
    expect(status).toBe(0)
    expect(out).toContain(`Look at ${join(folder, 'isochip-out', 'report.html')}`)
    for (const line of out.split('\n')) expect(line.length, line).toBeLessThanOrEqual(80 + folder.length)
    expect(filesBelow(join(folder, 'isochip-out'))).toEqual([
      'checksums.sha256',
      'default/crane.cube',
      'default/crane.match.json',
      'default/crane.sampling.png',
      'default/cross.cube',
      'default/cross.match.json',
      'default/wide.cube',
      'default/wide.match.json',
      'default/wide.sampling.png',
      'report.html',
      'report.json',
      'residuals.csv',
    ])
  })

  test('finds the lift, gain and matrix that made the cameras differ', async () => {
    const folder = await matchedSmallShow()
    for (const { id, matrix, lift } of smallCameras.slice(1)) {
      const file = join(folder, 'isochip-out', 'default', `${id}.match.json`)
      const { model } = fitted(await parseMatchFile(readFileSync(file, 'utf8'), file))
      // The camera made x = C·y + l, so the match is y = C⁻¹·(x − l): with rows of M that sum to 1, g = 1 ⊘ (C·1).
      const gain = matrix.map((row) => 1 / (row[0] + row[1] + row[2]))
      const inverse = inverse3(matrix)
      for (const c of [0, 1, 2] as const) {
        // Readings hold the truth to rounding; frames to the noise of their pixels, 0.0009 of the range, averaged.
        const close = id === 'cross' ? 5e-3 : 1e-2
        expect(Math.abs(model.lift[c] + lift[c]), `${id} lift`).toBeLessThan(close / 5)
        expect(Math.abs(model.gain[c] / gain[c]! - 1), `${id} gain`).toBeLessThan(close)
        for (const k of [0, 1, 2] as const)
          expect(Math.abs(model.matrix[c][k] - inverse[c][k] / gain[k]!), `${id} matrix`).toBeLessThan(close)
      }
    }
  })

  test('the LUT takes each patch of a camera to that of the target', async () => {
    const folder = await matchedSmallShow()
    const target = smallReadings(smallCameras[0]!).patches
    for (const camera of smallCameras) {
      const path = join(folder, 'isochip-out', 'default', `${camera.id}.cube`)
      const lut = lutTransform(readCube(readFileSync(path), { file: path }).lut)
      for (const [index, { patch, rgb }] of smallReadings(camera).patches.entries()) {
        const wanted = target[index]!.rgb
        // Outside 0…1 a recording clips, and the match knows nothing of it.
        if ([...rgb, ...wanted].some((value) => value < 0 || value > 1)) continue
        const got = lut(rgb)
        // 33 nodes per axis, between different curves: a hundredth of the range is the most that interpolation costs.
        for (const c of [0, 1, 2])
          expect(Math.abs(got[c]! - wanted[c]!), `${camera.id} ${patch}`).toBeLessThan(0.01)
      }
    }
  })

  test('--json twice gives the same bytes, and so do the files', async () => {
    const folder = await writeSmallShow()
    const show = join(folder, 'show.yaml')
    const argv = ['match', show, '--json', '--out', join(folder, 'a'), '--no-cache']
    const first = await runCommand(...argv)
    const again = await runCommand(...argv)
    expect(first.err).toBe('')
    expect(again).toEqual(first)
    expect(JSON.parse(first.out)).toMatchObject({
      isochip: 'match-result/3',
      title: 'Small show',
      failures: [],
      verdict: { within: true, judged: 2, out: 0, doubtful: 0 },
    })
    const other = join(await matchedSmallShow(), 'isochip-out')
    for (const name of filesBelow(join(folder, 'a')))
      expect(readFileSync(join(folder, 'a', name)).equals(readFileSync(join(other, name))), name).toBe(true)
  })

  test('names its inputs by path and checksum, and no time', async () => {
    const folder = await matchedSmallShow()
    const text = readFileSync(join(folder, 'isochip-out', 'default', 'crane.match.json'), 'utf8')
    const { provenance } = JSON.parse(text) as { provenance: { inputs: { path: string; sha256: string }[] } }
    const { createHash } = await import('node:crypto')
    const sha256 = createHash('sha256')
      .update(readFileSync(join(folder, 'crane-1.png')))
      .digest('hex')
    expect(provenance.inputs).toEqual([{ path: 'crane-1.png', sha256, camera: 'crane', setup: 'default' }])
    expect(text).not.toContain(folder)
  })

  test('is done but out of tolerance: status 3, and the files are there', async () => {
    const folder = await writeSmallShow({
      'show.yaml': `${smallShowText}fit: { model: gain }\ntolerance: { mean: 0.5, max: 1 }\n`,
    })
    const { status, out } = await runCommand('match', join(folder, 'show.yaml'))
    expect(status).toBe(3)
    expect(out).toContain('out of tolerance')
    expect(filesBelow(join(folder, 'isochip-out'))).toContain('default/cross.cube')
  })

  test('one bad frame does not stop the others: they are written, and status 2 says so', async () => {
    const folder = await writeSmallShow({ 'crane-1.png': 'no picture' })
    const { status, out, err } = await runCommand('match', join(folder, 'show.yaml'))
    expect(status).toBe(2)
    expect(err).toContain(`error: ${join(folder, 'crane-1.png')}, camera crane, setup default: `)
    expect(err).toContain('The files of the other 2 shots of the show are written.')
    expect(out).toContain('cross  within tolerance')
    expect(out).toContain('1 match is within tolerance; 1 more could not be made.')
    const report = readFileSync(join(folder, 'isochip-out', 'report.json'), 'utf8')
    expect(JSON.parse(report)).toMatchObject({ failed: [{ camera: 'crane', setup: 'default' }] })
    expect(report).not.toContain(folder)
    expect(readdirSync(join(folder, 'isochip-out', 'default')).sort()).toEqual([
      'cross.cube',
      'cross.match.json',
      'wide.cube',
      'wide.match.json',
      'wide.sampling.png',
    ])
    const json = await runCommand('match', join(folder, 'show.yaml'), '--json')
    expect(JSON.parse(json.out)).toMatchObject({
      failures: [{ code: 'frame-unreadable', place: { camera: 'crane', setup: 'default' } }],
    })
  })

  test('says which files are still those of an earlier run, where this one could not make them', async () => {
    const folder = await copyOfMatched()
    const lut = join(folder, 'isochip-out', 'default', 'crane.cube')
    const before = readFileSync(lut)
    writeFileSync(join(folder, 'crane-1.png'), 'no picture')
    const { status, err } = await runCommand('match', join(folder, 'show.yaml'))
    expect(status).toBe(2)
    expect(err.replace(/\s+/g, ' ')).toContain(
      'an earlier run wrote default/crane.cube, default/crane.match.json, default/crane.sampling.png, and this one',
    )
    expect(readFileSync(lut).equals(before)).toBe(true)
  })

  test('without pictures draws none and writes the same LUTs; those of an earlier run are told', async () => {
    const folder = await writeSmallShow()
    const bare = replaced(smallShowText, 'chart: chart24\n', 'chart: chart24\noutput: { pictures: false }\n')
    writeFileSync(join(folder, 'bare.yaml'), bare)
    const run = async (show: string, out: string) =>
      await runCommand('match', join(folder, show), '--out', join(folder, out))
    const drawn = await run('show.yaml', 'drawn')
    const plain = await run('bare.yaml', 'plain')
    expect([drawn.status, plain.status, plain.err]).toEqual([0, 0, ''])
    const inPage = (out: string) =>
      readFileSync(join(folder, out, 'report.html'), 'utf8').match(/data:image/g)
    expect(inPage('drawn')?.length).toBeGreaterThan(0)
    expect(inPage('plain')).toBeNull()
    const pictures = ['default/wide.sampling.png', 'default/crane.sampling.png']
    expect(filesBelow(join(folder, 'drawn'))).toEqual(
      [...filesBelow(join(folder, 'plain')), ...pictures].sort(),
    )
    for (const name of ['default/crane.cube', 'default/cross.cube', 'default/wide.cube', 'residuals.csv'])
      expect(
        readFileSync(join(folder, 'plain', name)).equals(readFileSync(join(folder, 'drawn', name))),
        name,
      ).toBe(true)
    const over = await run('bare.yaml', 'drawn')
    expect(over.err.replace(/\s+/g, ' ')).toContain(
      `an earlier run wrote ${pictures.join(', ')}, and this one`,
    )
  })

  test('prints the verdict as Markdown alone, for a ticket', async () => {
    const folder = await writeSmallShow()
    const { status, out } = await runCommand('match', join(folder, 'show.yaml'), '--markdown')
    expect(status).toBe(0)
    expect(out).toMatch(/^# /)
    expect(out).toMatch(/^\| cross \| within tolerance \| \d+\.\d\d → \d+\.\d\d \|/m)
    expect(out).not.toContain('Look at')
    const both = await runCommand('match', join(folder, 'show.yaml'), '--markdown', '--json')
    expect(both.status).toBe(2)
  })

  test('a setup without a chart borrows a match, and says so', async () => {
    const text = replaced(
      smallShowText,
      'encoding: srgb, readings: cross.csv',
      'encoding: srgb, shots: [{ readings: cross.csv }, { setup: night, borrow: default }]',
    )
    const folder = await writeSmallShow({ 'show.yaml': text })
    const { status, out } = await runCommand('match', join(folder, 'show.yaml'))
    expect(status).toBe(0)
    expect(out.replace(/\s+/g, ' ')).toContain(
      'no chart was shot in setup "night": this is the match of setup "default", with its figures. It is for the ' +
        'light of that setup; how well it holds here, nobody has measured',
    )
    const read = async (setup: string) => {
      const file = join(folder, 'isochip-out', setup, 'cross.match.json')
      return await parseMatchFile(readFileSync(file, 'utf8'), file)
    }
    const [lent, borrowed] = [await read('default'), await read('night')]
    expect(borrowed.model).toEqual(lent.model)
    expect(borrowed.borrowed).toBe('default')
    expect(lent.borrowed).toBeUndefined()
    expect(readFileSync(join(folder, 'isochip-out', 'night', 'cross.cube'), 'utf8')).toContain(
      'No chart was shot in this setup: the match is that of setup default.',
    )
  })

  test('to the values of the chart, and to the mean of all cameras', async () => {
    for (const target of ['{ reference: D65 }', '{ consensus: true, weights: { crane: 2 } }']) {
      const folder = await writeSmallShow({
        'show.yaml': replaced(smallShowText, '{ camera: wide }', target),
      })
      const { status, out } = await runCommand('match', join(folder, 'show.yaml'), '--json')
      expect(status, target).toBe(0)
      const { setups } = JSON.parse(out) as {
        setups: { cameras: { kind: string; outputEncoding: unknown }[] }[]
      }
      expect(setups[0]!.cameras.map(({ kind }) => kind)).toEqual(['fitted', 'fitted', 'fitted'])
      expect(setups[0]!.cameras[0]!.outputEncoding).toEqual({
        transfer: 'bt709',
        primaries: 'bt709',
        range: 'full',
      })
    }
  })

  test('the .clf is the match in steps: the same code values as the .cube, and as the match', async () => {
    const folder = await writeSmallShow({ 'show.yaml': `${smallShowText}output: { formats: [cube, clf] }\n` })
    const { status } = await runCommand('match', join(folder, 'show.yaml'))
    expect(status).toBe(0)
    for (const camera of smallCameras) {
      let compared = 0
      const base = join(folder, 'isochip-out', 'default')
      const clf = lutFunction(await readLutFile(join(base, `${camera.id}.clf`)))
      const cube = lutFunction(await readLutFile(join(base, `${camera.id}.cube`)))
      for (const { rgb } of smallReadings(camera).patches) {
        if (rgb.some((value) => value < 0.05 || value > 1)) continue
        compared++
        const [a, b] = [clf(rgb), cube(rgb)]
        // What 33 nodes per axis leave between their nodes; the steps themselves are exact.
        for (const c of [0, 1, 2]) expect(Math.abs(inRange(a[c]!) - inRange(b[c]!))).toBeLessThan(0.01)
      }
      expect(compared, camera.id).toBeGreaterThan(0)
    }
  })

  test('without corners the chart is found, and the match is the same', async () => {
    const readings = smallShowText.replace(/, corners: .*( })/g, '$1')
    const folder = await writeSmallShow({ 'show.yaml': readings })
    const { status, err } = await runCommand('match', join(folder, 'show.yaml'))
    expect([status, err]).toEqual([0, ''])
    const model = async (base: string) => {
      const file = join(base, 'isochip-out', 'default', 'crane.match.json')
      return (await parseMatchFile(readFileSync(file, 'utf8'), file)).model
    }
    const [found, byHand] = [await model(folder), await model(await matchedSmallShow())]
    // Flat patches: it does not matter where in them one looks, but for the noise of ±100/65535.
    for (const c of [0, 1, 2] as const)
      for (const k of [0, 1, 2] as const)
        expect(Math.abs(found.matrix[c][k] - byHand.matrix[c][k])).toBeLessThan(2e-3)
  })

  test('with a transfer table from a 1D .cube file as with the curve that it samples', async () => {
    const srgb = resolveEncoding('srgb')
    const steps = Array.from({ length: 4096 }, (_, i) => {
      const x = i / 4095
      const light: Vec3 = decodeRgb(srgb, [x, x, x])
      return light.map((value) => value.toFixed(9)).join(' ')
    })
    const table = ['LUT_1D_SIZE 4096', ...steps, ''].join('\n')
    const text = replaced(
      smallShowText,
      'encoding: srgb',
      'encoding: { transfer: { table: curves/srgb.cube } }',
    )
    const folder = await writeSmallShow({ 'show.yaml': text, 'curves/srgb.cube': table })
    expect((await runCommand('match', join(folder, 'show.yaml'))).status).toBe(0)
    const read = async (base: string) => {
      const file = join(base, 'isochip-out', 'default', 'cross.match.json')
      return (await parseMatchFile(readFileSync(file, 'utf8'), file)).model
    }
    const [byTable, byName] = [await read(folder), await read(await matchedSmallShow())]
    const x: Vec3 = [0.2, 0.4, 0.3]
    // 4096 straight pieces of the curve: nine decimals, and a bend of under 1e-7 within a piece.
    apply3(byTable.matrix, x).forEach((value, c) => {
      expect(Math.abs(value - apply3(byName.matrix, x)[c]!)).toBeLessThan(1e-4)
    })
  })
})
