import type { Mat3, Vec3 } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import {
  compareTransforms,
  fitCdl,
  matchTransform,
  outputLab,
  samplePoints,
  writeCc,
  writeCdl,
} from '../src/index.ts'
import { matchOf, neutralModel, strongModel } from './support/matches.ts'

const none: Mat3 = [
  [1, 0, 0],
  [0, 1, 0],
  [0, 0, 1],
]
const points: Vec3[] = [...samplePoints(24)].map(([r, g, b]) => [0.2 + 0.6 * r, 0.2 + 0.6 * g, 0.2 + 0.6 * b])

describe('fitCdl', () => {
  it('gains between power laws are slopes: (g·x^γ)^(1/γ) = g^(1/γ)·x', () => {
    const gain: Vec3 = [0.9, 0.7, 0.8]
    const power = { transfer: { power: 2.4 }, primaries: 'bt709' } as const
    const fitted = fitCdl(matchOf(power, power, { ...neutralModel, gain, matrix: none }), points)
    for (const c of [0, 1, 2] as const) {
      expect(fitted.cdl.slope[c]).toBeCloseTo(gain[c] ** (1 / 2.4), 4)
      expect(fitted.cdl.offset[c]).toBeCloseTo(0, 4)
      expect(fitted.cdl.power[c]).toBeCloseTo(1, 4)
    }
    expect(fitted.cdl.saturation).toBeCloseTo(1, 4)
    expect(fitted.points.max).toBeLessThan(0.01)
  })
  it('a matrix that mixes each colour with its luma is a saturation', () => {
    const saturation = 0.8
    const luma = [0.2126, 0.7152, 0.0722] as const
    const row = (r: number) =>
      luma.map((w, c) => (1 - saturation) * w + (r === c ? saturation : 0)) as unknown as Vec3
    const matrix: Mat3 = [row(0), row(1), row(2)]
    const { cdl, colours } = fitCdl(matchOf('linear', 'linear', { ...neutralModel, matrix }), points)
    expect(cdl.saturation).toBeCloseTo(saturation, 3)
    expect(colours.max).toBeLessThan(0.05)
  })
  it.each([
    ['BT.709', matchOf('bt709', 'bt709', strongModel)],
    ['HLG on BT.709', matchOf('hlg', 'bt709', neutralModel)],
    ['ACEScct on BT.709', matchOf('acescct', 'bt709', neutralModel)],
  ])('%s: nearer to the match than no correction, by the figure that it states', (_, match) => {
    const { points: is } = fitCdl(match, points)
    const without = compareTransforms((code) => code, matchTransform(match), points, outputLab(match.output))
    expect(is.mean).toBeGreaterThan(0.1)
    expect(is.mean).toBeLessThan(without.meanDE00 / 2)
  })
  it('refuses a match of which the output holds nothing', () => {
    const beyond = matchOf('linear', 'linear', { ...neutralModel, lift: [-5, -5, -5] })
    expect(() => fitCdl(beyond, [])).toThrow('the output holds none of the colours')
  })
})

describe('a CDL as a file', () => {
  const cdl = {
    slope: [1.1, 1, 0.9],
    offset: [0.01, 0, -0.02],
    power: [1, 1.05, 1],
    saturation: 0.95,
  } as const
  const options = { id: 'day-"cross"', descriptions: ['a < b'] }
  // Elements and their order from memory of the ASC's published form.
  const correction = [
    '<SOPNode>',
    '<Description>a &lt; b</Description>',
    '<Slope>1.1 1 0.9</Slope>',
    '<Offset>0.01 0 -0.02</Offset>',
    '<Power>1 1.05 1</Power>',
    '</SOPNode>',
    '<SatNode>',
    '<Saturation>0.95</Saturation>',
    '</SatNode>',
    '</ColorCorrection>',
  ]
  const lines = (text: string) =>
    text
      .trimEnd()
      .split('\n')
      .map((line) => line.trim())
  it('a correction alone', () => {
    expect(lines(writeCc(cdl, options))).toEqual([
      '<?xml version="1.0" encoding="UTF-8"?>',
      '<ColorCorrection xmlns="urn:ASC:CDL:v1.01" id="day-&quot;cross&quot;">',
      ...correction,
    ])
  })
  it('a list of it', () => {
    expect(lines(writeCdl(cdl, options))).toEqual([
      '<?xml version="1.0" encoding="UTF-8"?>',
      '<ColorDecisionList xmlns="urn:ASC:CDL:v1.01">',
      '<ColorDecision>',
      '<ColorCorrection id="day-&quot;cross&quot;">',
      ...correction,
      '</ColorDecision>',
      '</ColorDecisionList>',
    ])
  })
})
