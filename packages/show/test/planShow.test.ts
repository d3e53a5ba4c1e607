import { builtinChart } from '@isochip/core'
import { describe, expect, test } from 'vitest'
import { planShow } from '../src/load/planShow.ts'
import { parseShow } from '../src/showFile/parseShow.ts'
import { changed } from './showText.ts'

const outputOf = async (working: string) => {
  const text = changed('target: { camera: wide }', `target: { reference: D65 }\nworking: ${working}`)
  return planShow(await parseShow(text), { chart: builtinChart('chart24') }).output.spec
}

describe('what LUTs give out where no camera is the target', () => {
  // ACES2065-1 is linear (SMPTE ST 2065-1); ACEScct is the grading encoding of AP1 (S-2016-001).
  test.each([
    ['bt709', { transfer: 'bt709', primaries: 'bt709', range: 'full' }],
    ['bt2020', { transfer: 'bt2020', primaries: 'bt2020', range: 'full' }],
    ['p3-d65', { transfer: 'bt709', primaries: 'p3-d65', range: 'full' }],
    ['ap1', { transfer: 'acescct', primaries: 'ap1', range: 'full' }],
    ['ap0', { transfer: 'linear', primaries: 'ap0', range: 'full' }],
  ])('working primaries %s', async (working, spec) => {
    expect(await outputOf(working)).toEqual(spec)
  })
})
