import { describe, expect, it } from 'vitest'
import { skinDegrees as skinOfReport } from '../../../report/src/signal/scopeGraticule.ts'
import { barColours, barTargets, skinDegrees } from '../../src/scopes/bars.ts'
import { code10, differences, scopeStandard } from '../../src/scopes/standard.ts'

const bt709 = scopeStandard({ transfer: 'bt709', primaries: 'bt709', range: 'narrow' })
const hlg = scopeStandard({ transfer: 'hlg', primaries: 'bt2020', range: 'narrow' })
const pq = scopeStandard({ transfer: 'pq', primaries: 'bt2020', range: 'narrow' })

// Y′, C_B, C_R of bars in BT.709, narrow range. 75 %, 10 bits: SMPTE RP 219-1, as printed; 100 %, 8 bits: what test signal
// generators list. Both from memory.
const printed: Record<string, { 75: readonly number[]; 100: readonly number[] }> = {
  Yl: { 75: [674, 176, 543], 100: [219, 16, 138] },
  Cy: { 75: [581, 589, 176], 100: [188, 154, 16] },
  G: { 75: [534, 253, 207], 100: [173, 42, 26] },
  Mg: { 75: [251, 771, 817], 100: [78, 214, 230] },
  R: { 75: [204, 435, 848], 100: [63, 102, 240] },
  B: { 75: [111, 848, 481], 100: [32, 240, 118] },
}

/** ITU-R BT.709-6, item 4.6. */
const codes = (y: number, cb: number, cr: number, bits: number) =>
  [16 + 219 * y, 128 + 224 * cb, 128 + 224 * cr].map((code) => Math.round(code * 2 ** (bits - 8)))

describe('the targets of the vectorscope', () => {
  it.each([75, 100] as const)('are the published codes of %s % bars', (percent) => {
    const targets = barTargets(bt709, percent / 100)
    expect(targets).toHaveLength(6)
    for (const { letters, y, cb, cr } of targets)
      expect(codes(y, cb, cr, percent === 75 ? 10 : 8), letters).toEqual(printed[letters]![percent])
  })

  it('of BT.2020 have the luma that the standard prints, and fill the range of the differences', () => {
    // ITU-R BT.2020-2, table 4: the weights; a difference is at its end, ±0.5, for blue and yellow, red and cyan.
    const targets = new Map(barTargets(hlg, 1).map((bar) => [bar.letters, bar]))
    expect(targets.get('R')!.y).toBe(0.2627)
    expect(targets.get('B')!.y).toBe(0.0593)
    expect(targets.get('G')!.y).toBe(0.678)
    for (const [letters, which, end] of [
      ['B', 'cb', 0.5],
      ['Yl', 'cb', -0.5],
      ['R', 'cr', 0.5],
      ['Cy', 'cr', -0.5],
    ] as const)
      expect(targets.get(letters)![which]).toBeCloseTo(end, 12)
  })

  it('stand opposite their complement', () => {
    for (const standard of [bt709, hlg]) {
      const targets = barTargets(standard, 0.75)
      for (const [i, { cb, cr }] of targets.entries()) {
        const other = targets[(i + 3) % 6]!
        expect(other.cb).toBeCloseTo(-cb, 12)
        expect(other.cr).toBeCloseTo(-cr, 12)
      }
    }
  })

  it('are those of BT.2111 for HLG and PQ', () => {
    // ITU-R BT.2111-2, 10-bit narrow range, from memory: 75 % is 721, 58 % of PQ is 572, 100 % is 940.
    expect(hlg.bars.map((level) => code10(level, 'narrow'))).toEqual([721, 940])
    expect(pq.bars.map((level) => code10(level, 'narrow'))).toEqual([572, 940])
  })
})

describe('levels', () => {
  it('have the codes that the standards print', () => {
    // BT.709-6, item 4.6, and BT.2100-2, table 9.
    expect([0, 0.5, 1].map((level) => code10(level, 'narrow'))).toEqual([64, 502, 940])
    expect([0, 1].map((level) => code10(level, 'full'))).toEqual([0, 1023])
  })

  it('white and black have no colour', () => {
    for (const { luma } of [bt709, hlg])
      for (const level of [0, 0.4, 1]) {
        const [y, cb, cr] = differences(luma, level, level, level)
        expect(y).toBeCloseTo(level, 12)
        expect(cb).toBeCloseTo(0, 12)
        expect(cr).toBeCloseTo(0, 12)
      }
  })

  it('of log and linear recordings have no limits', () => {
    const logCurve = { log: { base: 2, logSideSlope: 0.1 } }
    expect(scopeStandard({ transfer: logCurve, primaries: 'bt2020', range: 'full' }).limits).toBe(false)
    expect(scopeStandard({ transfer: 'linear', primaries: 'bt709', range: 'full' }).limits).toBe(false)
    expect(bt709.limits).toBe(true)
    expect(pq.limits).toBe(true)
  })
})

it('the skin line is that of the report', () => expect(skinDegrees).toBe(skinOfReport))

it('the colours of the bars are all that two or one of three can give', () =>
  expect(new Set(barColours.map(({ code }) => code.join())).size).toBe(6))
