import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { CubeReader, type LatticeLut, readCube } from '../src/index.ts'

/** The identity on 2³ nodes: red runs fastest. */
const rows = [0, 1].flatMap((b) => [0, 1].flatMap((g) => [0, 1].map((r) => `${r} ${g} ${b}`)))
const identity = ['LUT_3D_SIZE 2', ...rows]
const text = (lines: readonly string[]) => `${lines.join('\n')}\n`
const codes = (source: string) => readCube(source).warnings.map(({ code, place }) => [code, place?.line])

describe('readCube', () => {
  it('reads title, comments, domain and a lattice that runs red-fastest', () => {
    const { lut, comments, warnings } = readCube(
      text(['# Day', '#', '# exterior', 'TITLE "Harbour Kitchen"', 'DOMAIN_MIN -0.5 0 0.25', ...identity]),
    )
    expect(lut).toMatchObject({
      kind: 'lattice',
      title: 'Harbour Kitchen',
      size: 2,
      domainMin: [-0.5, 0, 0.25],
      domainMax: [1, 1, 1],
    })
    expect([...(lut as LatticeLut).tableRedFastest.subarray(0, 6)]).toEqual([0, 0, 0, 1, 0, 0])
    expect(comments).toEqual(['Day', '', 'exterior'])
    expect(warnings).toEqual([])
  })
  it('keeps a mebibyte of comments, and no more', () => {
    const lines = (bytes: number) => Array.from({ length: bytes / 1024 }, () => `#${'x'.repeat(1023)}`)
    const read = (bytes: number) => readCube(text([...lines(bytes), ...identity])).comments.length
    // The sign is not kept.
    expect(read(2 ** 20)).toBe(1024)
    expect(() => read(2 ** 20 + 2048)).toThrow(/the comments have more than 1048576 bytes/)
    const bytes = (last: number) =>
      [...Array.from({ length: 1023 }, () => 1024), last].map((n) => `#${'x'.repeat(n)}`)
    expect(readCube(text([...bytes(1024), ...identity])).comments).toHaveLength(1024)
    expect(() => readCube(text([...bytes(1025), ...identity]))).toThrow(/more than 1048576 bytes/)
  })
  it('reads a 1D LUT', () => {
    const { lut } = readCube('LUT_1D_SIZE 3\nDOMAIN_MAX 2 2 2\n0 0 0\n.5 0.25 +5E-1\n1. 1 1')
    expect(lut).toMatchObject({ kind: 'curve', size: 3, domainMax: [2, 2, 2] })
    expect(lut.kind === 'curve' && [...lut.table]).toEqual([0, 0, 0, 0.5, 0.25, 0.5, 1, 1, 1])
  })
  it('gives the same for every way of cutting the file into pieces', () => {
    const source = text(['# ü', 'TITLE "Hafenküche"', ...identity])
    const whole = readCube(source)
    fc.assert(
      fc.property(fc.array(fc.nat(source.length), { maxLength: 8 }), (cuts) => {
        const bytes = new TextEncoder().encode(source)
        const reader = new CubeReader()
        const ends = [...cuts.sort((a, b) => a - b), bytes.length]
        let from = 0
        for (const end of ends) {
          reader.push(bytes.subarray(from, end))
          from = Math.max(from, end)
        }
        expect(reader.end()).toEqual(whole)
      }),
    )
  })
  it('reads numbers as Number() does', () => {
    const number = fc.oneof(
      fc.double({ noNaN: true, min: -3e38, max: 3e38 }).map(String),
      fc
        .tuple(fc.integer(), fc.nat(), fc.integer({ min: -40, max: 20 }))
        .map(([a, b, e]) => `${a}.${b}e${e}`),
      fc.float({ noNaN: true, noDefaultInfinity: true }).map((x) => x.toFixed(8)),
    )
    fc.assert(
      fc.property(fc.array(number, { minLength: 6, maxLength: 6 }), (six) => {
        const { lut } = readCube(`LUT_1D_SIZE 2\n${six.slice(0, 3).join(' ')}\n${six.slice(3).join(' ')}\n`)
        expect(lut.kind === 'curve' && [...lut.table]).toEqual(six.map(Number))
      }),
    )
  })
  it('can hold the table in single precision', () => {
    const { lut } = readCube('LUT_1D_SIZE 2\n0.1 0 0\n1 1 1\n', { table: 'single' })
    expect(lut.kind === 'curve' && lut.table).toEqual(Float32Array.of(0.1, 0, 0, 1, 1, 1))
  })
  it('a short file that claims a large LUT reserves little', () => {
    const before = process.memoryUsage().arrayBuffers
    const reader = new CubeReader()
    reader.push('LUT_3D_SIZE 256\n0 0 0\n')
    expect(process.memoryUsage().arrayBuffers - before).toBeLessThan(2e6)
    expect(() => reader.end()).toThrow('1 rows of numbers, expected 16777216')
  })
})

describe('what the specification forbids and files hold all the same is read with a warning', () => {
  it.each<[string, string, [string, number][]]>([
    ['CR LF', text(identity).replaceAll('\n', '\r\n'), [['cube-crlf', 1]]],
    ['a byte-order mark', `\ufeff${text(identity)}`, [['cube-bom', 1]]],
    ['tabs', text(identity.map((line) => line.replace(' ', '\t'))), [['cube-tab', 1]]],
    ['trailing spaces', text(identity.map((line) => `${line} `)), [['cube-trailing-space', 1]]],
    [
      'leading spaces',
      text(['LUT_3D_SIZE 2', ...rows.map((line) => `  ${line}`)]),
      [['cube-leading-space', 2]],
    ],
    ['a keyword after a blank line', text(['TITLE "a"', '', ...identity]), [['cube-blank-line', 3]]],
    ['a small e', text(identity).replace('1 1 0', '1e0 1 1e-05'), [['cube-lower-exponent', 5]]],
    ['a title without quotes', text(['TITLE day two', ...identity]), [['cube-title-quotes', 1]]],
    ['a long line', text([`# ${'x'.repeat(300)}`, ...identity]), [['cube-long-line', 1]]],
    [
      'a leading 1D LUT',
      text(['LUT_1D_SIZE 2', 'LUT_1D_INPUT_RANGE -1 3', 'LUT_3D_SIZE 2', '0 0 0', '1 1 1', ...rows]),
      [
        ['cube-input-range', 2],
        ['cube-shaper', 1],
      ],
    ],
  ])('%s', (_, source, expected) => {
    expect(codes(source)).toEqual(expected)
  })
  it('says how often', () => {
    const [warning] = readCube(text(identity).replaceAll('\n', '\r\n'), { file: 'day.cube' }).warnings
    expect(warning).toEqual({
      code: 'cube-crlf',
      message: '9 lines ending with CR LF, where the specification has LF; the first is line 1',
      place: { file: 'day.cube', line: 1 },
    })
  })
  it('the leading 1D LUT and its range are kept', () => {
    const source = text([
      'LUT_1D_SIZE 2',
      'LUT_3D_SIZE 2',
      'LUT_1D_INPUT_RANGE -1 3',
      '0 0 0',
      '1 1 1',
      ...rows,
    ])
    const { lut } = readCube(source)
    expect(lut).toMatchObject({
      kind: 'shaped',
      curve: {
        size: 2,
        domainMin: [-1, -1, -1],
        domainMax: [3, 3, 3],
        table: Float64Array.of(0, 0, 0, 1, 1, 1),
      },
      lattice: { size: 2, domainMin: [0, 0, 0], domainMax: [1, 1, 1] },
    })
  })
  it('spaces in the middle of a row and blank lines between rows need no warning', () => {
    expect(codes(text(identity).replace('1 1 0', '1  1   0').replace('0 0 1', '\n0 0 1'))).toEqual([])
  })
})
