import { describe, expect, test } from 'vitest'
import { foldedName } from '../src/files/foldedName.ts'
import { parseShow } from '../src/showFile/parseShow.ts'

/** Pairs that some disk takes for one name: case (NTFS, APFS), composed and decomposed letters (APFS, HFS+). */
const alike: readonly (readonly [string, string, string])[] = [
  ['case', 'Wide', 'wide'],
  ['NFC and NFD', 'caf\u00e9', 'cafe\u0301'],
  ['NFC and NFD and case', 'CAF\u00c9', 'cafe\u0301'],
  ['sharp s', 'stra\u00dfe', 'STRASSE'],
  ['capital sharp s', 'stra\u1e9ee', 'strasse'],
  ['a ligature', '\ufb01lm', 'film'],
  ['final sigma', '\u03c2\u03b1\u03c2', '\u03c3\u03b1\u03c3'],
  ['full width', '\uff21', 'a'],
  ['angstrom sign', '\u212b', '\u00e5'],
  ['two marks in either order', 'a\u0323\u0301', 'a\u0301\u0323'],
]

describe('foldedName', () => {
  test.each(alike)('%s', (_, a, b) => {
    expect(a).not.toBe(b)
    expect(foldedName(a)).toBe(foldedName(b))
    expect(foldedName(foldedName(a))).toBe(foldedName(a))
  })

  test.each([
    ['wide', 'wild'],
    ['cafe', 'caf\u00e9'],
    ['day', 'day2'],
    ['o', '\u00f8'],
  ])('"%s" and "%s" stay two', (a, b) => {
    expect(foldedName(a)).not.toBe(foldedName(b))
  })
})

const show = (cameras: string) =>
  parseShow(`isochip: 1\nchart: chart24\ntarget: { reference: D65 }\ncameras:\n${cameras}`, 'show.yaml')
const camera = (id: string, setups: readonly string[]) =>
  `  - id: ${id}\n    encoding: bt709\n    shots:\n${setups.map((setup) => `      - { setup: ${setup}, readings: a.csv }\n`).join('')}`

describe('names in a show that a disk takes for one are an error', () => {
  test('camera ids', async () => {
    await expect(show(camera('stra\u00dfe', ['day']) + camera('STRASSE', ['day']))).rejects.toMatchObject({
      code: 'show-invalid',
      message: 'cameras "stra\u00dfe" and "STRASSE" differ only in case or Unicode form',
      place: { line: 9 },
    })
  })

  test('a camera that is called as a file of another', async () => {
    for (const [one, other] of [
      ['jib', 'jib.live'],
      ['Jib.LIVE', 'jib'],
    ] as const)
      await expect(show(camera(one, ['day']) + camera(other, ['day']))).rejects.toMatchObject({
        code: 'show-invalid',
        message: expect.stringMatching(
          /^cameras "jib.*" and "jib.*" would both have the file jib\.live\.clf$/i,
        ),
        place: { line: 9 },
      })
    expect((await show(camera('jib', ['day']) + camera('jib.lives', ['day']))).cameras).toHaveLength(2)
  })

  test('a setup that is called as a file of the run', async () => {
    for (const name of ['config.ocio', 'config.light.clf', 'report.json', 'Checksums.sha256'])
      await expect(show(camera('jib', [name]))).rejects.toMatchObject({
        code: 'show-invalid',
        message: `the setup name "${name}" is the name of a file that isochip writes`,
      })
  })

  test('setups of one camera, and of two', async () => {
    await expect(show(camera('wide', ['caf\u00e9', 'cafe\u0301']))).rejects.toMatchObject({
      code: 'show-invalid',
      message: 'the setups "caf\u00e9" and "cafe\u0301" differ only in case or Unicode form',
    })
    await expect(show(camera('wide', ['Day']) + camera('cross', ['day']))).rejects.toMatchObject({
      code: 'show-invalid',
      message:
        'the setups "Day" of camera "wide" and "day" of camera "cross" differ only in case or Unicode form',
      place: { line: 12 },
    })
    expect((await show(camera('wide', ['day']) + camera('cross', ['day']))).cameras).toHaveLength(2)
  })
})
