import { IsochipError } from '@isochip/core'
import { describe, expect, test } from 'vitest'
import { parseShow } from '../src/index.ts'
import { changed, showText } from './showText.ts'

/** The error of a show file as `LINE:COLUMN message | hint`. */
async function fault(text: string): Promise<string> {
  const error = await parseShow(text, 'show.yaml').then(
    () => undefined,
    (cause: unknown) => cause,
  )
  if (!(error instanceof IsochipError))
    throw new Error(`no IsochipError but ${String(error)}`, { cause: error })
  expect(error.code).toBe('show-invalid')
  expect(error.place.file).toBe('show.yaml')
  return `${error.place.line}:${error.place.column} ${error.message} | ${error.hint ?? ''}`
}

describe('parseShow', () => {
  test('fills in every default', async () => {
    const { places, ...show } = await parseShow(showText)
    expect(show).toEqual({
      title: 'Harbour Kitchen',
      chart: 'chart24',
      target: { camera: 'wide' },
      working: 'bt709',
      fit: {},
      output: { encoding: 'target', formats: ['cube'], size: 33, pictures: true },
      tolerance: { mean: 1, max: 3 },
      cameras: [
        {
          id: 'wide',
          encoding: 'bt709',
          shots: [{ kind: 'frames', setup: 'default', frames: ['wide/*.png'] }],
        },
        {
          id: 'cross',
          encoding: {
            transfer: { log: { base: 2, logSideSlope: 0.057 } },
            primaries: 'bt2020',
          },
          shots: [
            {
              kind: 'frames',
              setup: 'default',
              frames: ['a.png'],
              corners: [
                [402, 211],
                [1490, 236],
                [1478, 960],
                [396, 930],
              ],
            },
          ],
        },
      ],
    })
    expect(places?.['cameras[1].shots[0]']).toEqual({ line: 10, column: 9 })
  })

  test('reads the same show from JSON, indented by tabs, and behind a byte order mark', async () => {
    const { places: _, ...fromYaml } = await parseShow(showText)
    const json = JSON.stringify(
      {
        isochip: 1,
        title: fromYaml.title,
        chart: 'chart24',
        target: fromYaml.target,
        cameras: [
          { id: 'wide', encoding: 'bt709', frames: 'wide/*.png' },
          {
            id: 'cross',
            encoding: fromYaml.cameras[1]!.encoding,
            shots: [
              {
                frames: ['a.png'],
                corners: [
                  [402, 211],
                  [1490, 236],
                  [1478, 960],
                  [396, 930],
                ],
              },
            ],
          },
        ],
      },
      null,
      '\t',
    )
    const { places: __, ...fromJson } = await parseShow(`\uFEFF${json}`)
    expect(fromJson).toEqual(fromYaml)
  })

  test('a show without title has the name of its file', async () => {
    expect((await parseShow(changed('title: Harbour Kitchen\n', ''), 'shows/harbour.yaml')).title).toBe(
      'harbour',
    )
  })

  test('borrowing takes over another setup of the same camera', async () => {
    const text = `${showText}      - { setup: night, borrow: default }\n`
    expect((await parseShow(text)).cameras[1]!.shots[1]).toEqual({
      kind: 'borrowed',
      setup: 'night',
      borrow: 'default',
    })
    expect(await fault(`${showText}      - { setup: night, borrow: defalt }\n`)).toBe(
      '11:33 camera "cross" has no setup "defalt" to borrow from | did you mean default?',
    )
  })

  test.each([
    [
      'an unknown key',
      changed('id: cross', 'id: cross\n    encodng: bt709'),
      '8:5 cameras[1]: unknown key "encodng" | did you mean encoding?',
    ],
    [
      'an unknown key at the top',
      `${showText}tolerence: { mean: 1 }\n`,
      '11:1 unknown key "tolerence" | did you mean tolerance?',
    ],
    [
      'an unknown key inside a union',
      changed('camera: wide', 'camra: wide'),
      '4:11 target: unknown key "camra" | did you mean camera?',
    ],
    [
      'an unknown log parameter',
      changed('logSideSlope', 'slope'),
      '8:45 cameras[1].encoding.transfer.log: unknown key "slope" | known here: base, logSideSlope,',
    ],
    [
      'a decimal comma',
      changed('[[402,211]', '[["402,5",211]'),
      '10:39 cameras[1].shots[0].corners[0][0]: found "402,5", expected a number | ',
    ],
    [
      'three corners',
      changed('[402,211],', ''),
      '10:37 cameras[1].shots[0].corners: found a list of 3, expected a list of 4 | ',
    ],
    [
      'an encoding nobody knows',
      changed('encoding: bt709', 'encoding: bt790'),
      '6:27 cameras[0].encoding: found "bt790", expected one of linear, bt709, bt2020,',
    ],
    [
      'a target as text',
      changed('{ camera: wide }', 'wide'),
      '4:9 target: found "wide", expected a map with camera, or with reference, or with consensus, weights | ',
    ],
    [
      'a target camera that is not there',
      changed('camera: wide', 'camera: wdie'),
      '4:19 the target camera "wdie" is none of the show’s cameras | did you mean wide?',
    ],
    [
      'a camera named twice',
      changed('id: cross', 'id: wide'),
      '7:9 camera "wide" is named twice, first as camera 1 of the list | ',
    ],
    [
      'cameras that differ in case only',
      changed('id: cross', 'id: Wide'),
      '7:9 cameras "wide" and "Wide" differ only in case or Unicode form | ',
    ],
    [
      'a camera id that leads out of the folder',
      changed('id: cross', 'id: ../cross'),
      '7:9 the camera id "../cross" becomes a file name: ',
    ],
    [
      'a camera id that is a device elsewhere',
      changed('id: cross', 'id: aux'),
      '7:9 the camera id "aux" is the name of a device ',
    ],
    [
      'a setup that would take the name of the report',
      changed('- { frames', '- { setup: report.json, frames'),
      '10:18 the setup name "report.json" is the name of a file that isochip writes',
    ],
    [
      'a setup twice',
      `${showText}      - { frames: b.png }\n`,
      '11:9 camera "cross" has the setup "default" twice | ',
    ],
    [
      'a setup that the target camera has not shot',
      changed('- { frames', '- { setup: night, frames'),
      '10:18 the target camera "wide" has no chart in setup "night" for camera "cross" to be matched to | ',
    ],
    [
      'frames and readings at once',
      changed('- { frames', '- { readings: a.csv, frames'),
      '10:9 setup "default" has frames and readings; only one of them can be | ',
    ],
    [
      'a camera with nothing',
      changed(', frames: wide/*.png', ''),
      '6:5 camera "wide" has neither frames nor readings | ',
    ],
    [
      'corners of readings',
      changed('frames: [a.png]', 'readings: a.csv'),
      '10:37 setup "default" has corners but no frames to which they belong | ',
    ],
    [
      'how clips are to be read, of readings',
      changed('frames: wide/*.png', 'readings: a.csv, ycbcr: { matrix: bt709 }'),
      '6:58 camera "wide" has ycbcr but no frames to which it belongs | ',
    ],
    [
      'a missing encoding',
      changed('encoding: bt709, ', ''),
      '6:5 cameras[0].encoding is missing | expected one of linear, ',
    ],
    [
      'a size out of bounds',
      `${showText}output: { size: 1 }\n`,
      '11:17 output.size: found 1, expected a number of at least 2 | ',
    ],
    [
      'a config without LUTs',
      `${showText}output: { formats: [ocio, cdl] }\n`,
      '11:20 output.formats has ocio, but no LUTs that the config can name | ',
    ],
    [
      'steps of nodes that are not bounded',
      `${showText}output: { nodeBits: 10 }\n`,
      '11:11 output.nodeBits is given, but the nodes are not bounded | ',
    ],
    [
      'bounded nodes in a lattice too large for them',
      `${showText}output: { nodes: bounded, size: 200 }\n`,
      '11:33 output.size is 200, expected at most 129 with bounded nodes | ',
    ],
    [
      'a size in words',
      `${showText}output: { size: big }\n`,
      '11:17 output.size: found "big", expected a number, or auto | ',
    ],
    [
      'a tolerance that is no number',
      `${showText}tolerance: { mean: .nan }\n`,
      '11:20 tolerance.mean: found NaN, expected a number | ',
    ],
    [
      'the encoding of a target that has none',
      `${changed('{ camera: wide }', '{ reference: D65 }')}output: { encoding: target }\n`,
      '11:21 output.encoding is "target", but the target is no camera that has an encoding | ',
    ],
    [
      'a weight of no camera',
      changed('{ camera: wide }', '{ consensus: true, weights: { wdie: 2 } }'),
      '4:39 there is no camera "wdie" to be weighted | did you mean wide?',
    ],
    ['another version', changed('isochip: 1', 'isochip: 2'), '1:10 isochip: found 2, expected 1 | '],
    ['no version', changed('isochip: 1\n', ''), '1:1 isochip is missing | expected 1'],
    ['a list', '- wide\n', '1:1 the file: found a list of 1, expected a map with '],
    ['nothing', '', '1:1 the show file is empty | '],
    ['a key twice', `${showText}chart: quay48\n`, '11:1 this is not valid YAML: Map keys must be unique | '],
    [
      'no colon',
      changed('chart: chart24', 'chart chart24'),
      '3:1 this is not valid YAML: this line is not a key with a value | is a colon missing?',
    ],
    [
      'a tab',
      changed('    shots', '\tshots'),
      '9:1 this is not valid YAML: Tabs are not allowed as indentation | ',
    ],
  ])('%s', async (_, text, message) => {
    expect((await fault(text)).slice(0, message.length)).toBe(message)
  })

  test('knows what the trade calls BT.709', async () => {
    expect(await fault(changed('encoding: bt709', 'encoding: rec709'))).toMatch(/ \| did you mean bt709\?$/)
  })

  test('names every fault, in the order of the file', async () => {
    const text = `${showText}fit: { model: matrx, weights: { roles: { skn: 2 } } }\n`
    expect(await fault(text)).toMatch(
      /^11:15 fit.model: found "matrx", .* \(did you mean matrix\?\)\n {2}also line 11, column 42: fit.weights.roles: unknown key "skn" \(did you mean skin\?\) \| $/,
    )
  })

  test('refuses a file of aliases that would fill the memory', async () => {
    const bomb = ['a: &a [x, x, x, x, x, x, x, x, x]']
    for (let i = 1; i < 9; i++) {
      const [name, last] = [String.fromCharCode(97 + i), String.fromCharCode(96 + i)]
      bomb.push(`${name}: &${name} [${Array(9).fill(`*${last}`).join(', ')}]`)
    }
    expect(await fault(bomb.join('\n'))).toMatch(/^1:1 this is not valid YAML: .*alias/i)
  })
})

describe('a show as a plain object', () => {
  const object = {
    isochip: 1,
    chart: 'chart24',
    target: { camera: 'wide' },
    cameras: [
      { id: 'wide', encoding: 'bt709', frames: 'wide/*.png' },
      { id: 'cross', encoding: 'bt709', readings: 'cross.csv' },
    ],
  }

  test('comes to the same as its text, but for the lines', async () => {
    const { places, ...ofText } = await parseShow(JSON.stringify(object), 'kitchen.json')
    expect(await parseShow(object, 'kitchen.json')).toEqual(ofText)
    expect(places).toBeDefined()
  })

  test('is validated alike', async () => {
    const [wide, cross] = object.cameras
    const wrong = {
      ...object,
      cameras: [
        { ...wide, encoding: 'rec709' },
        { ...cross, id: 'wide' },
      ],
    }
    await expect(parseShow(wrong)).rejects.toMatchObject({
      code: 'show-invalid',
      message: expect.stringContaining('cameras[0].encoding: found "rec709"'),
      hint: 'did you mean bt709?',
      place: {},
    })
    const twice = { ...object, cameras: [wide, { ...cross, id: 'wide' }] }
    await expect(parseShow(twice)).rejects.toMatchObject({ message: expect.stringContaining('named twice') })
    for (const none of [{}, [], { ...object, cameras: new Map() }, { ...object, isochip: 1n }])
      await expect(parseShow(none)).rejects.toMatchObject({ code: 'show-invalid' })
  })
})

describe('as new users meet it', () => {
  test.each([
    ['rec709', 'bt709'],
    ['Rec.709', 'bt709'],
    ['rec2020', 'bt2020'],
    ['BT1886', 'bt1886'],
  ])('%s for %s', async (name, meant) => {
    await expect(
      parseShow(changed('id: wide, encoding: bt709', `id: wide, encoding: ${name}`)),
    ).rejects.toMatchObject({ hint: `did you mean ${meant}?` })
  })

  test('a name of a megabyte does not come back whole', async () => {
    const long = 'x'.repeat(1_000_000)
    for (const text of [changed('id: wide', `id: ${long}`), changed('chart:', `${long}: 1\nchart:`)]) {
      const error: unknown = await parseShow(text).catch((cause: unknown) => cause)
      expect((error as Error).message.length).toBeLessThan(5000)
    }
  })
})
