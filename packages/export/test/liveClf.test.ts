import {
  type EncodingSpec,
  type MatchModel,
  resolveEncoding,
  resolvePrimaries,
  type Vec3,
} from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { liveClfFromMatch, matchTransform, processListTransform, readClf, writeClf } from '../src/index.ts'

const identity: MatchModel = {
  kind: 'lift-gain-matrix',
  lift: [0, 0, 0],
  gain: [1, 1, 1],
  matrix: [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ],
}
const warm: MatchModel = {
  ...identity,
  gain: [1.2, 1, 0.9],
  matrix: [
    [1.1, -0.1, 0],
    [0, 1, 0],
    [0, -0.05, 1.05],
  ],
}
const match = (source: EncodingSpec, output: EncodingSpec, model = warm) => ({
  source: resolveEncoding(source),
  model,
  working: resolvePrimaries('bt709'),
  output: resolveEncoding(output),
})
const narrow = { transfer: 'bt709', range: 'narrow' } as const

describe('Live Broadcast LUT33 of SMPTE ST 2136-10', () => {
  it('of a full-range signal: a Range to the narrow positions, 33 nodes per axis, tetrahedral, and a Range back', () => {
    const text = writeClf(liveClfFromMatch(match('bt709', 'bt709'), { id: 'day' }).list)
    const { list, warnings } = readClf(text)
    expect(warnings).toEqual([])
    const [before, lattice, behind] = list.nodes
    // The positions as the profile prints them.
    expect(before).toMatchObject({ type: 'Range', style: 'noClamp', minIn: 0, maxIn: 1 })
    expect(lattice).toMatchObject({ type: 'LUT3D', size: 33, interpolation: 'tetrahedral' })
    expect(behind).toMatchObject({ type: 'Range', style: 'noClamp', minOut: 0, maxOut: 1 })
    for (const [range, low, high] of [
      [before, 'minOut', 'maxOut'],
      [behind, 'minIn', 'maxIn'],
    ] as const) {
      const values = range as unknown as Record<string, number>
      expect(values[low]).toBeCloseTo(0.0625611, 7)
      expect(values[high]).toBeCloseTo(0.9188661, 7)
    }
    expect(text).toContain('<Profile>http://www.smpte-ra.org/ns/2136-10/2026#Live_Broadcast_LUT33</Profile>')
    expect(list.profile).toMatchObject({
      input: {
        colorPrimaries: 'ColorPrimaries_ITU709',
        transferCharacteristic: 'TransferCharacteristic_ITU709',
      },
    })
  })

  it('of a narrow-range signal: the lattice alone', () => {
    const { list } = liveClfFromMatch(match(narrow, narrow), { id: 'day' })
    expect(list.nodes.map(({ type }) => type)).toEqual(['LUT3D'])
  })

  it.each([
    ['full to full', 'bt709', 'bt709'],
    ['narrow to narrow', narrow, narrow],
    ['narrow to full', narrow, 'bt709'],
    ['full to narrow', 'bt709', narrow],
    ['HLG to PQ', 'hlg', 'pq'],
  ] as const)('%s: at the nodes it is the match', (_, source, output) => {
    const one = match(source, output)
    const f = processListTransform(liveClfFromMatch(one, { id: 'day' }).list)
    const exact = matchTransform({ ...one, bits: 10 })
    const cut = (x: number) => Math.min(Math.max(x, 0), 1)
    for (const node of [
      [8, 8, 8],
      [12, 16, 20],
      [24, 9, 28],
    ] as const) {
      // A node of the lattice as a code of the signal: full range comes to 64…940 of 1023 first.
      const code = node.map((i) => (one.source.range === 'full' ? ((i / 32) * 1023 - 64) / 876 : i / 32))
      const input: Vec3 = [code[0]!, code[1]!, code[2]!]
      f(input).forEach((x, c) => {
        expect(Math.abs(cut(x) - cut(exact(input)[c]!))).toBeLessThan(1e-6)
      })
    }
  })

  it.each([
    ['full', 'linear'],
    ['narrow', { transfer: 'linear', range: 'narrow' }],
  ] as const)('a look after it is given the code values of the output as they are: %s range', (_, output) => {
    // A straight look after a match that changes nothing is straight again: the lattice loses nothing of it.
    const after = ([r, g, b]: Vec3): Vec3 => [0.8 * r + 0.1, 0.8 * g + 0.1, 0.5 * b + 0.3]
    const { list, deviation } = liveClfFromMatch(match(output, output, identity), { id: 'day', after })
    expect(deviation).toBeLessThan(1e-6)
    const f = processListTransform(list)
    for (const v of [0.1, 0.4, 0.9]) {
      const found = f([v, v, v])
      after([v, v, v]).forEach((x, c) => {
        expect(found[c]).toBeCloseTo(x, 6)
      })
    }
  })

  it('a match that changes nothing changes nothing', () => {
    const { list, deviation, warnings } = liveClfFromMatch(match('linear', 'linear', identity), { id: 'day' })
    expect(warnings).toEqual([])
    expect(deviation).toBeLessThan(1e-6)
    const f = processListTransform(list)
    for (const v of [0, 0.1, 0.5, 0.99, 1]) for (const x of f([v, v, v])) expect(x).toBeCloseTo(v, 6)
  })

  it('says how far the lattice is off a log camera', () => {
    const { deviation, warnings } = liveClfFromMatch(match('acescct', 'bt709'), { id: 'day' })
    expect(deviation).toBeGreaterThan(0.25 / 65535)
    expect(warnings).toMatchObject([{ code: 'clf-deviation' }])
  })

  it.each([
    ['no lattice', (list: string) => list.replace(/<LUT3D.*<\/LUT3D>/s, ''), 'its nodes are Range, Range'],
    ['trilinear', (list: string) => list.replace('tetrahedral', 'trilinear'), 'its LUT3D is not tetrahedral'],
    ['a Range that clamps', (list: string) => list.replace('noClamp', 'clamp'), 'its Range clamps'],
    [
      'other positions than 64 and 940 of 1023',
      (list: string) => list.replace(/<minOutValue>0\.06\d*/, '<minOutValue>0.1'),
      'its Range goes from 0 … 1 to 0.1 … 0.9188',
    ],
    [
      'a Range back to something else',
      (list: string) => list.replace(/<maxOutValue>1</, '<maxOutValue>0.5<'),
      'its Range goes from 0.0625',
    ],
  ])('a file that claims the profile and does not keep to it: %s', (_, spoil, fault) => {
    const text = writeClf(liveClfFromMatch(match('bt709', 'bt709'), { id: 'day' }).list)
    const { warnings } = readClf(spoil(text))
    expect(warnings).toMatchObject([{ code: 'clf-profile', message: expect.stringContaining(fault) }])
  })
})
