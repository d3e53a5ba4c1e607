import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { type EncodingSpec, IsochipError, resolveEncoding, resolvePrimaries } from '@isochip/core'
import {
  clfFromMatch,
  liveClfFromMatch,
  matchTransform,
  type ProcessList,
  processListTransform,
  readClf,
  writeClf,
} from '@isochip/export'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { consumer } from '../support/consumer.ts'
import { clfCases, clfTexts, floatFrame } from './clfCases.ts'

const python = consumer('pyopencolorio')
const refused = fileURLToPath(new URL('./clfRefused.py', import.meta.url))
const script = new URL('./lutOcio.py', import.meta.url).pathname
const pixels = 512

/** The match of the chain tests: nothing in it is neutral. */
const model = {
  kind: 'lift-gain-matrix' as const,
  lift: [-0.002, 0.001, 0.003] as const,
  gain: [1.3, 0.95, 0.8] as const,
  matrix: [
    [1.2, -0.15, -0.05],
    [-0.08, 1.11, -0.03],
    [0.02, -0.22, 1.2],
  ] as const,
}
const match = (source: EncodingSpec, output: EncodingSpec) => ({
  source: resolveEncoding(source),
  model,
  working: resolvePrimaries('bt709'),
  output: resolveEncoding(output),
})
const chains = {
  'narrow BT.709 to narrow BT.709': match(
    { transfer: 'bt709', range: 'narrow' },
    { transfer: 'bt709', range: 'narrow' },
  ),
  'ACEScct to sRGB': match('acescct', 'srgb'),
  'log to power': match(
    {
      transfer: {
        log: { base: 10, logSideSlope: 0.25, logSideOffset: 0.4, linSideOffset: 0.01, linSideBreak: 0.01 },
      },
      primaries: 'bt2020',
    },
    { transfer: { power: 2.4 } },
  ),
  'HLG to PQ': match('hlg', 'pq'),
}
const chainLists = Object.fromEntries(
  Object.entries(chains).map(([name, one]) => [name, clfFromMatch(one, { id: 'chain' }).list]),
)
const lists: Record<string, ProcessList> = { ...clfCases, ...chainLists }
const texts: Record<string, string> = {
  ...clfTexts,
  ...Object.fromEntries(Object.entries(chainLists).map(([name, list]) => [name, writeClf(list)])),
}
const identity = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
] as const
/** What every generation has. */
const common: ProcessList = {
  id: 'generations',
  nodes: [
    { type: 'Range', style: 'noClamp', minIn: 64 / 1023, maxIn: 940 / 1023, minOut: 0, maxOut: 1 },
    { type: 'Matrix', matrix: identity, offset: [0.01, 0, -0.02] },
    { type: 'Matrix', matrix: [[0.9, 0.1, 0], identity[1], identity[2]], offset: [0, 0, 0] },
    { type: 'LUT1D', length: 4, columns: 1, table: Float64Array.of(0, 0.2, 0.7, 1) },
  ],
}
// The version of OpenColorIO that is at hand reads these; SMPTE's form alone it does not (2.1).
for (const generation of ['2', '3', 'both'] as const) {
  const name = `written as ${generation}`
  lists[name] = common
  texts[name] = writeClf(common, { generation })
}
for (const name of ['narrow BT.709 to narrow BT.709', 'HLG to PQ'] as const) {
  const { list } = liveClfFromMatch(chains[name], { id: 'live' })
  lists[`for LUT boxes, ${name}`] = list
  texts[`for LUT boxes, ${name}`] = writeClf(list, { generation: 'both' })
}
const names = Object.keys(lists)

python.describe('OpenColorIO reads what is written here to the same numbers', () => {
  let folder: string
  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'isochip-clf-'))
    writeFileSync(join(folder, 'frame'), floatFrame(pixels))
    const jobs = names.map((name, i) => {
      writeFileSync(join(folder, `${i}.clf`), texts[name]!)
      return JSON.stringify({
        lut: join(folder, `${i}.clf`),
        frame: join(folder, 'frame'),
        depth: 'float',
        width: pixels,
        height: 1,
        out: join(folder, `${i}.out`),
      })
    })
    python.run([script], jobs.join('\n'))
  })
  afterAll(() => {
    rmSync(folder, { recursive: true })
  })

  it.each(names.map((name, i) => [name, i] as const))('%s', (name, i) => {
    const bytes = readFileSync(join(folder, `${i}.out`))
    const theirs = new Float32Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length))
    const f = processListTransform(readClf(texts[name]!).list)
    const frame = floatFrame(pixels)
    let worst = 0
    for (let p = 0; p < 3 * pixels; p += 3) {
      const ours = f([frame[p]!, frame[p + 1]!, frame[p + 2]!])
      // Theirs is single precision: relative above 1, where 1e-5 would be less than its own step.
      ours.forEach((x, c) => {
        worst = Math.max(worst, Math.abs(x - theirs[p + c]!) / Math.max(1, Math.abs(x)))
      })
    }
    expect(worst).toBeLessThan(1e-5)
  })
})

// NaN, infinities, and what single precision cannot hold.
const beyond: Record<string, string> = {
  'NaN in a LUT1D': '<LUT1D inBitDepth="32f" outBitDepth="32f"><Array dim="2 1">nan 1</Array></LUT1D>',
  'infinities in a LUT1D':
    '<LUT1D inBitDepth="32f" outBitDepth="32f"><Array dim="3 1">-inf 0.5 inf</Array></LUT1D>',
  'too large for single precision':
    '<LUT1D inBitDepth="32f" outBitDepth="32f"><Array dim="2 1">0 1e39</Array></LUT1D>',
  'an infinite half':
    '<LUT1D inBitDepth="16f" outBitDepth="16f" rawHalfs="true"><Array dim="2 1">0 31744</Array></LUT1D>',
  'NaN and infinities in a LUT3D': `<LUT3D inBitDepth="32f" outBitDepth="32f"><Array dim="2 2 2 3">-inf inf nan ${'0 '.repeat(21)}</Array></LUT3D>`,
}
python.describe('numbers that are none become what OpenColorIO makes of them', () => {
  it.each(Object.entries(beyond))('%s', (_, node) => {
    const folder = mkdtempSync(join(tmpdir(), 'isochip-clf-'))
    try {
      const text = `<ProcessList id="x" compCLFversion="3.0">${node}</ProcessList>`
      const [lut, frame, out] = ['x.clf', 'frame', 'out'].map((name) => join(folder, name)) as [
        string,
        string,
        string,
      ]
      const colours = Float32Array.of(0, 0.25, 0.75, 1, 0.5, 0, 0.125, 0, 1)
      writeFileSync(lut, text)
      writeFileSync(frame, colours)
      const job = { lut, frame, out, depth: 'float', width: 3, height: 1, interpolation: 'trilinear' }
      python.run([script], JSON.stringify(job))
      const bytes = readFileSync(out)
      const theirs = new Float32Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length))
      const { list, warnings } = readClf(text)
      const f = processListTransform(list)
      for (let p = 0; p < colours.length; p += 3) {
        for (const [c, x] of f([colours[p]!, colours[p + 1]!, colours[p + 2]!]).entries()) {
          // Relative, by the step of single precision.
          expect(Math.abs(x - theirs[p + c]!)).toBeLessThanOrEqual(1e-5 * Math.max(1, Math.abs(x)))
        }
      }
      expect(warnings.map(({ code }) => code)).toEqual(['clf-not-finite'])
    } finally {
      rmSync(folder, { recursive: true })
    }
  })
})

python.describe('what OpenColorIO refuses is refused here', () => {
  const corpus = fileURLToPath(new URL('../../packages/export/test/fixtures/clf-reject/', import.meta.url))
  it.each([
    'exponent-version-2',
    'half-domain-false',
    'id-empty',
    'log-version-2',
    'matrix-dim-too-long-version-2',
    'raw-halfs-0',
    'range-falls-in-output',
    'range-no-clamp-one-pair',
    'range-one-pair-shifts',
    'range-upper-pair-shifts',
  ])('%s', (name) => {
    const path = join(corpus, `${name}.clf`)
    expect(JSON.parse(python.run([refused], path).toString())).toEqual([false])
    expect(() => readClf(readFileSync(path))).toThrow(IsochipError)
  })
})

it.each(Object.entries(chains))('a match as nodes is the match, in the code range: %s', (name, one) => {
  const f = processListTransform(chainLists[name]!)
  const exact = matchTransform(one)
  const { deviation, warnings } = clfFromMatch(one, { id: 'chain' })
  for (let code = 0; code <= 1023; code += 11) {
    const input = [code / 1023, 1 - code / 1023, ((code * 7) % 1024) / 1023] as const
    const cut = (v: number) => Math.min(Math.max(v, 0), 1)
    f(input).forEach((x, c) => {
      // Never more than it says of itself, plus a quarter of a 16-bit code for points between its samples.
      expect(Math.abs(cut(x) - cut(exact(input)[c]!))).toBeLessThan(deviation * 1.5 + 0.25 / 65535)
    })
  }
  expect(warnings.length > 0).toBe(deviation > 0.25 / 65535)
})
