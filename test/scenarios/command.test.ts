import { existsSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { builtinChart } from '@isochip/core'
import { type LatticeLut, lutTransform, readCube } from '@isochip/export'
import { parseChart, parseReadings } from '@isochip/frames'
import { decodeFrame } from '@isochip/frames/node'
import { lutFunction, readLutFile } from '@isochip/show/node'
import { describe, expect, test } from 'vitest'
import { main } from '../../packages/cli/src/main.ts'
import { filesBelow } from '../support/filesBelow.ts'
import { scratchFolder } from '../support/scratchFolder.ts'
import { runCommand } from './support/runCommand.ts'
import { smallCameras, smallCorners, smallReadings, writeSmallShow } from './support/smallShow.ts'

const corners = '40,40 440,40 440,300 40,300'

describe('the command', () => {
  test.each([[], ['match'], ['read'], ['bake'], ['apply'], ['charts'], ['demo'], ['verify'], ['compare']])(
    'help of %s fits 80 columns',
    async (...words) => {
      const { status, out, err } = await runCommand(...words, '--help')
      expect(status).toBe(0)
      expect(err).toBe('')
      expect(out).toContain('Usage: isochip')
      for (const line of out.split('\n')) expect(line.length, line).toBeLessThanOrEqual(80)
    },
  )

  test.each([
    [['mach', 'show.yaml'], "unknown command 'mach'", 'match'],
    [['match'], "missing required argument 'show'", '--help'],
    [['match', 'show.yaml', '--outt', 'x'], "unknown option '--outt'", '--out'],
    [['match', 'a.yaml', 'b.yaml'], 'too many arguments', '--help'],
    [['bake', 'x.match.json', '--size', '1'], 'Expected a whole number from 2 to 256', '--help'],
    [['read', 'x.png', '--chart', 'chart24', '--corners', '1,2,3'], 'Expected eight numbers', '--help'],
    [
      ['read', 'x.png', '--chart', 'chart24', '--corners', corners, '--range', 'half'],
      'Allowed choices are full, narrow',
      '--help',
    ],
    [['charts', 'chart25'], '"chart25" is neither a built-in chart nor a file', 'did you mean chart24?'],
  ])('%j is wrong usage: status 2', async (argv, message, hint) => {
    const { status, out, err } = await runCommand(...argv)
    expect(err).toContain(message)
    expect(err).toContain(hint)
    expect(out).toBe('')
    expect(status).toBe(2)
  })

  test('ended by Ctrl-C: status 130, and nothing is written', async () => {
    const folder = await writeSmallShow()
    const err: string[] = []
    const terminal = {
      out: () => undefined,
      err: (text: string) => void err.push(text),
      colour: false,
      errColour: false,
      live: false,
      width: 80,
    }
    expect(await main(['match', join(folder, 'show.yaml')], terminal, AbortSignal.abort())).toBe(130)
    expect(err.join('')).toBe('error: cancelled; no file was changed\n')
    expect(existsSync(join(folder, 'isochip-out'))).toBe(false)
  })

  test('--version is that of the package', async () => {
    const { version } = JSON.parse(
      readFileSync(new URL('../../packages/cli/package.json', import.meta.url), 'utf8'),
    ) as { version: string }
    expect(await runCommand('--version')).toEqual({ status: 0, out: `${version}\n`, err: '' })
  })

  test('charts lists the charts, shows one, and gives a chart file to start from', async () => {
    const list = await runCommand('charts')
    expect(list.out).toMatch(/^chart24 {2}.*\nquay48 {3}.*\nbuoy47 {3}.*\n$/)
    const one = await runCommand('charts', 'chart24')
    expect(one.out).toMatch(/^ {2}1 {2}dark skin +0\.4002 +0\.3504 +0\.1005 {2}skin$/m)
    const json = await runCommand('charts', 'chart24', '--json')
    expect(parseChart(json.out, 'chart24.json')).toEqual(builtinChart('chart24'))
  })

  test('charts gives the values of a chart in another light, from its spectra', async () => {
    // CIE 015: the white of illuminant A at the 10° observer is 0.45117, 0.40594 (from memory); the chart's greys are near it.
    const { status, out } = await runCommand(
      'charts',
      'chart24',
      '--light',
      'A',
      '--observer',
      '10',
      '--json',
    )
    expect(status).toBe(0)
    const chart = parseChart(out, 'a.json')
    expect(chart.reference).toMatchObject({ space: 'XYZ', illuminant: 'A', observer: 10 })
    const [X, Y, Z] = chart.patches.find(({ name }) => name === 'neutral 6.5')!.value!
    expect(X / (X + Y + Z)).toBeCloseTo(0.451, 2)
    expect(Y / (X + Y + Z)).toBeCloseTo(0.406, 2)
    for (const [words, message] of [
      [['quay48', '--light', 'A'], 'the chart quay48 has no spectra'],
      [['chart24', '--light', 'none.csv'], '"none.csv" is neither a CIE illuminant nor a file'],
      [['--light', 'A'], 'give the chart'],
      [['chart24', '--light', 'A', '--observer', '4'], 'expected 2 or 10'],
    ] as const)
      expect(await runCommand('charts', ...words)).toMatchObject({
        status: 2,
        err: expect.stringContaining(message),
      })
  })

  describe('charts makes a chart of what was measured on a print', () => {
    const { patches, geometry } = builtinChart('quay48')
    const measured = patches.map(({ value }, i) => value!.map((v) => v * (1 + i / 1000)))
    const sampleLines = patches.map(
      ({ name }, i) => `"${name}" ${measured[i]!.map((v) => (100 * v).toFixed(6)).join(' ')}`,
    )
    const cgats = (samples: readonly string[], conditions: readonly string[]) =>
      [
        'CGATS.17',
        ...conditions.map((condition) => `WEIGHTING_FUNCTION "${condition}"`),
        'BEGIN_DATA_FORMAT',
        'SAMPLE_NAME XYZ_X XYZ_Y XYZ_Z',
        'END_DATA_FORMAT',
        'BEGIN_DATA',
        ...samples,
        'END_DATA',
        '',
      ].join('\n')
    const stated = ['ILLUMINANT, D50', 'OBSERVER, 10 degree']
    const written = (name: string, text: string) => {
      const file = join(scratchFolder('print'), name)
      writeFileSync(file, text)
      return file
    }
    const values = written('print 7.txt', cgats(sampleLines, stated))
    const dates = ['--measured', '2026-03-01', '--replace-by', '2028-03-01']

    test('with the values and conditions of the file', async () => {
      const made = await runCommand('charts', 'quay48', '--values', values, ...dates, '--json')
      expect(made).toMatchObject({ status: 0, err: '' })
      const chart = parseChart(made.out, 'print-7.chart.json')
      expect(chart).toMatchObject({
        id: 'quay48-print-7',
        title: 'a print of quay48, measured in print 7.txt',
        measured: '2026-03-01',
        replaceBy: '2028-03-01',
        reference: { space: 'XYZ', illuminant: 'D50', observer: 10, source: 'print 7.txt' },
        geometry,
      })
      for (const [i, { name, value }] of chart.patches.entries()) {
        expect(name).toBe(patches[i]!.name)
        // Six decimals on the scale of 100.
        for (const c of [0, 1, 2]) expect(Math.abs(value![c]! - measured[i]![c]!)).toBeLessThan(1e-8)
      }
    })

    test('measured again it has the new dates, or none', async () => {
      const first = await runCommand('charts', 'quay48', '--values', values, ...dates, '--json')
      const file = written('print-7.chart.json', first.out)
      const again = await runCommand('charts', file, '--values', values, '--id', 'stage-2')
      expect(again.out).toMatch(/^stage-2: a print of quay48-print-7, measured in print 7.txt$/m)
      expect(again.out).not.toContain('2028')
      const dated = await runCommand('charts', file)
      expect(dated.out).toMatch(/^to be replaced: 2028-03-01$/m)
    })

    test('with a caution where the file leaves something open', async () => {
      const file = written('open.txt', cgats(sampleLines, []))
      const { status, err } = await runCommand('charts', 'quay48', '--values', file)
      expect(status).toBe(0)
      expect(err).toContain('D50')
    })

    test.each([
      [['quay48', '--values', written('short.txt', cgats(sampleLines.slice(1), stated))], 'have no sample'],
      [['quay48', '--values', join(scratchFolder('print'), 'none.txt')], 'there is no such file'],
      // 30 February is no day, whatever a calendar makes of it.
      [['quay48', '--values', values, '--replace-by', '2027-02-30'], 'Expected a date, such as 2026-03-01.'],
      [
        ['quay48', '--values', values, '--measured', '2028-01-01', '--replace-by', '2027-01-01'],
        'check the two dates',
      ],
      [['--values', values], 'give both, such as'],
      [['quay48', '--measured', '2026-03-01'], 'give both, such as'],
      [['quay48', '--values', values, '--id', 'print 7'], '"print 7" is not a valid chart id'],
      [['quay48', '--values', values, '--id', 'chart24'], 'chart24 is a built-in chart'],
      [['quay48', '--values', written('測定.txt', cgats(sampleLines, stated))], 'no id can be made of'],
    ])('charts %s: %s', async (words, message) => {
      const { status, out, err } = await runCommand('charts', ...words)
      expect(err).toContain(message)
      expect({ status, out }).toEqual({ status: 2, out: '' })
    })
  })

  test('read prints readings that a show can use, and draws where it looked', async () => {
    const folder = await writeSmallShow()
    const picture = join(folder, 'looked.png')
    const frame = join(folder, 'crane-1.png')
    const { status, out, err } = await runCommand(
      'read',
      frame,
      '--chart',
      'chart24',
      '--corners',
      corners,
      '--picture',
      picture,
    )
    expect(err).toContain('corners as given')
    expect(err).toMatch(/^good {2}noise: patch means are known to/m)
    expect(err).not.toContain('caution:')
    expect(status).toBe(0)
    const chart = builtinChart('chart24')
    const truth = smallReadings(smallCameras[2]!).patches
    for (const [index, { rgb }] of parseReadings(out, 'out.csv', chart).patches.entries()) {
      // Uniform noise of ±100/65535 on over 900 pixels a patch: a mean is off by under 1e-4.
      for (const c of [0, 1, 2])
        expect(Math.abs(rgb[c]! - Math.min(1, Math.max(0, truth[index]!.rgb[c]!)))).toBeLessThan(1e-3)
    }
    expect((await decodeFrame(picture)).width).toBe(480)
    const again = await runCommand(
      'read',
      frame,
      '--chart',
      'chart24',
      '--corners',
      corners,
      '--picture',
      picture,
      '--json',
    )
    expect(JSON.parse(again.out)).toMatchObject({ isochip: 'readings/1', chart: 'chart24' })
    const found = await runCommand('read', frame, '--chart', 'chart24', '--json', '--encoding', 'srgb')
    const document = JSON.parse(found.out) as {
      corners: [number, number][]
      confidence: { value: number; meaning: string }
      checks: { name: string }[]
      checkedAs: string
    }
    const { corners: where, confidence, checks, checkedAs } = document
    expect(confidence.value).toBeGreaterThan(0.5)
    expect(confidence.meaning).toContain('1 is sure')
    expect(checks.map(({ name }) => name)).toEqual(
      expect.arrayContaining(['evenness', 'flare', 'clipping', 'size', 'noise']),
    )
    expect(checkedAs).toBe('srgb')
    for (const [index, [x, y]] of where.entries()) {
      // The frame is painted in whole pixels: corners are known to one.
      expect(Math.abs(x - smallCorners[index]![0])).toBeLessThan(1.5)
      expect(Math.abs(y - smallCorners[index]![1])).toBeLessThan(1.5)
    }
    const refused = await runCommand(
      'read',
      frame,
      '--chart',
      'chart24',
      '--corners',
      corners,
      '--picture',
      frame,
    )
    expect(refused).toMatchObject({ status: 2, out: '' })
    expect(refused.err).toContain('is what is read: it would be written over')
  })

  test('bake makes the LUT of match again, of another size, and with a look after it', async () => {
    const folder = await writeSmallShow()
    await runCommand('match', join(folder, 'show.yaml'))
    const base = join(folder, 'isochip-out', 'default')
    const before = readFileSync(join(base, 'cross.cube'))
    const match = join(base, 'cross.match.json')
    const same = await runCommand('bake', match)
    expect(same).toEqual({ status: 0, out: `${join(base, 'cross.cube')}\n`, err: '' })
    expect(readFileSync(join(base, 'cross.cube')).equals(before)).toBe(true)
    await runCommand('bake', match, '--size', '65', '--out', join(folder, 'large.cube'))
    expect(readFileSync(join(folder, 'large.cube'), 'utf8')).toContain('LUT_3D_SIZE 65')

    const look = join(folder, 'half.cube')
    const rows = [
      '0 0 0',
      '0.5 0 0',
      '0 0.5 0',
      '0.5 0.5 0',
      '0 0 0.5',
      '0.5 0 0.5',
      '0 0.5 0.5',
      '0.5 0.5 0.5',
    ]
    writeFileSync(look, ['LUT_3D_SIZE 2', ...rows, ''].join('\n'))
    const with_ = await runCommand('bake', match, '--then', look)
    expect(with_.out).toBe(`${join(base, 'cross.half.cube')}\n`)
    const plain = lutTransform(readCube(before, {}).lut)
    const looked = lutTransform(readCube(readFileSync(join(base, 'cross.half.cube')), {}).lut)
    // At a point of the lattice, where nothing is interpolated.
    const at = [16 / 32, 12 / 32, 20 / 32] as const
    for (const c of [0, 1, 2]) expect(looked(at)[c]!).toBeCloseTo(plain(at)[c]! / 2, 5)

    const steps = await runCommand('bake', match, '--then', look, '--format', 'clf')
    expect(steps.out).toBe(`${join(base, 'cross.half.clf')}\n`)
    const clf = lutFunction(await readLutFile(join(base, 'cross.half.clf')))
    for (const c of [0, 1, 2]) expect(clf(at)[c]!).toBeCloseTo(plain(at)[c]! / 2, 5)

    const sized = await runCommand(
      'bake',
      match,
      '--format',
      'clf',
      '--size',
      '17',
      '--out',
      join(folder, 'x.clf'),
    )
    expect(sized.status).toBe(0)
    expect(sized.err).toContain('a size of 17 was asked for, but the file holds the steps of the match')
    const unsized = await runCommand('bake', match, '--format', 'clf', '--out', join(folder, 'y.clf'))
    expect(unsized.err).not.toContain('size')
    expect(readFileSync(join(folder, 'y.clf')).equals(readFileSync(join(folder, 'x.clf')))).toBe(true)

    for (const more of [[], ['--then', look]]) {
      const coarse = await runCommand(
        'bake',
        match,
        '--size',
        '2',
        ...more,
        '--out',
        join(folder, 'coarse.cube'),
      )
      expect(coarse.status).toBe(0)
      expect(coarse.err).toMatch(/^caution: .*coarse\.cube: interpolation adds up to ΔE00 \d+\.\d+ at size 2/)
    }

    const box = await runCommand(
      'bake',
      match,
      '--nodes',
      'bounded',
      '--node-bits',
      '10',
      '--out',
      join(folder, 'box.cube'),
    )
    expect(box.status).toBe(0)
    const { lut: stored } = readCube(readFileSync(join(folder, 'box.cube')), {})
    expect(stored.kind).toBe('lattice')
    for (const x of (stored as LatticeLut).tableRedFastest) {
      // The file has seven decimals.
      if (!(x >= 0 && x <= 1 && Math.abs(1023 * x - Math.round(1023 * x)) < 1e-3)) expect(x).toBeNaN()
    }
    expect(readFileSync(join(folder, 'box.cube'), 'utf8')).toMatch(
      /^# Nodes within 0\.\.\.1, in steps of 10 bits/m,
    )
    const alone = await runCommand('bake', match, '--node-bits', '10')
    expect(alone).toMatchObject({ status: 2, out: '' })
    expect(alone.err).toContain('the nodes are not bounded')

    // Match and look in the one lattice of the profile: at its nodes, which are codes, half of what the match gives.
    const live = await runCommand('bake', match, '--then', look, '--format', 'clf-live', '--size', '17')
    expect(live.out).toBe(`${join(base, 'cross.half.live.clf')}\n`)
    expect(live.err).toContain('a size of 17 was asked for, but the profile has lattices of 33')
    const liveLut = lutFunction(await readLutFile(join(base, 'cross.half.live.clf')))
    for (const code of [0.3, 0.5, 0.7]) {
      for (const c of [0, 1, 2]) {
        // Two lattices with nodes at different places: within what interpolation makes.
        expect(liveLut([code, code, code])[c]!).toBeCloseTo(plain([code, code, code])[c]! / 2, 2)
      }
    }

    for (const lut of [join(base, 'cross.cube'), join(folder, 'y.clf')]) {
      const refused = await runCommand('bake', lut)
      expect(refused).toMatchObject({ status: 2, out: '' })
      expect(refused.err).toContain('this is a LUT, expected a match file')
      expect(refused.err).toContain('.match.json')
    }
    const nowhere = await runCommand('bake', join(folder, 'nowhere.match.json'))
    expect(nowhere.err).toContain('there is no such file')

    const wrong = await runCommand('bake', join(folder, 'show.yaml'))
    expect(wrong).toMatchObject({ status: 2, out: '' })
    expect(wrong.err).toContain('this is not valid JSON')
  })

  test('apply puts the LUT on frames, and never on the frame itself', async () => {
    const folder = await writeSmallShow()
    await runCommand('match', join(folder, 'show.yaml'))
    const lutFile = join(folder, 'isochip-out', 'default', 'crane.cube')
    const frame = join(folder, 'crane-1.png')
    const out = join(folder, 'graded')
    const ran = await runCommand('apply', lutFile, frame, '--out', out)
    expect(ran).toEqual({ status: 0, out: `${join(out, 'crane-1.png')}\n`, err: '' })
    const [before, after] = [await decodeFrame(frame), await decodeFrame(join(out, 'crane-1.png'))]
    const lut = lutTransform(readCube(readFileSync(lutFile), {}).lut)
    const at = 3 * (150 * before.width + 100)
    const wanted = lut([before.data[at]! / 65535, before.data[at + 1]! / 65535, before.data[at + 2]! / 65535])
    // Rounded to a code value of 16 bits, and a kernel of its own for whole numbers.
    for (const c of [0, 1, 2]) expect(Math.abs(after.data[at + c]! - 65535 * wanted[c]!)).toBeLessThan(1.5)
    const bytes = readFileSync(frame)
    for (const force of [[], ['--force']]) {
      const self = await runCommand('apply', lutFile, frame, '--out', folder, ...force)
      expect(self).toMatchObject({ status: 2, out: '' })
      expect(self.err).toContain('is what is read: it would be written over')
    }
    expect(readFileSync(frame).equals(bytes)).toBe(true)
    expect(filesBelow(out)).toEqual(['crane-1.png'])
  })
})
