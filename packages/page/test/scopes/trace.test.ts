import { createFrame, thinFrame, thinUnit } from '@isochip/frames'
import { describe, expect, it } from 'vitest'
import { barColours, barTargets } from '../../src/scopes/bars.ts'
import { legalMap } from '../../src/scopes/legalRange.ts'
import { paintTrace } from '../../src/scopes/paint.ts'
import { recoded } from '../../src/scopes/recoded.ts'
import { scopeStandard } from '../../src/scopes/standard.ts'
import {
  lumaTrace,
  paradeTraces,
  placeOfDifference,
  rowOfLevel,
  type ScopePixels,
  vectorTrace,
} from '../../src/scopes/trace.ts'

const spec = { transfer: 'bt709', primaries: 'bt709', range: 'full' } as const
const standard = scopeStandard(spec)
const columnsOfBar = 10

/** Six bars of a level beside each other, 4 rows. */
function bars(level: number): ScopePixels {
  const width = columnsOfBar * barColours.length
  const data = new Float64Array(3 * width * 4)
  for (let i = 0; i < width * 4; i++) {
    const { code } = barColours[Math.floor((i % width) / columnsOfBar)]!
    data.set(
      code.map((value) => value * level),
      3 * i,
    )
  }
  return { width, height: 4, data, unit: 1 }
}

/** Rows of a column in which anything was hit. */
const rowsHit = (hits: Uint32Array, width: number, x: number) =>
  Array.from({ length: hits.length / width }, (_, y) => y).filter((y) => hits[y * width + x]! > 0)

describe('the waveform', () => {
  it.each([0.75, 1])('has each bar of %s at its luma, in its place', (level) => {
    const height = 400
    const { width, hits } = lumaTrace(bars(level), standard, 60, height)
    for (const [i, { y }] of barTargets(standard, level).entries())
      for (let x = 0; x < columnsOfBar; x++)
        expect(rowsHit(hits, width, i * columnsOfBar + x)).toEqual([Math.floor(rowOfLevel(y, height))])
  })

  it('counts every pixel once, and what lies beyond at the border', () => {
    const pixels = { width: 3, height: 1, data: [-4, -4, -4, 0.5, 0.5, 0.5, 9, 9, 9], unit: 1 }
    const { hits } = lumaTrace(pixels, standard, 3, 100)
    expect(hits.reduce((sum, count) => sum + count, 0)).toBe(3)
    expect(rowsHit(hits, 3, 0)).toEqual([99])
    expect(rowsHit(hits, 3, 2)).toEqual([0])
  })

  it('as a parade has each channel at its own level', () => {
    const height = 400
    const [red, green, blue] = paradeTraces(bars(0.75), 60, height)
    // Row of a level does not depend on the standard: 75 % is at 75 %.
    const at = (level: number) => [Math.floor(rowOfLevel(level, height))]
    for (const [i, { code }] of barColours.entries())
      for (const [c, { hits, width }] of [red, green, blue].entries())
        expect(rowsHit(hits, width, i * columnsOfBar)).toEqual(at(0.75 * code[c]!))
  })

  it('marks 0 and 100 % where codes 64 and 940 lie between 4 and 1019', () => {
    // ITU-R BT.709-6, item 4.6.
    expect(rowOfLevel(0, 1015)).toBeCloseTo(1019 - 64, 9)
    expect(rowOfLevel(1, 1015)).toBeCloseTo(1019 - 940, 9)
  })
})

describe('the vectorscope', () => {
  it.each([0.75, 1])('has bars of %s on their targets and nowhere else', (level) => {
    const side = 500
    const { hits } = vectorTrace(bars(level), standard, side)
    const wanted = new Set(
      barTargets(standard, level).map(
        ({ cb, cr }) =>
          Math.floor(side - placeOfDifference(cr, side)) * side + Math.floor(placeOfDifference(cb, side)),
      ),
    )
    const found = [...hits.entries()].filter(([, count]) => count > 0)
    expect(new Set(found.map(([at]) => at))).toEqual(wanted)
    for (const [, count] of found) expect(count).toBe(4 * columnsOfBar)
  })
})

describe('the legal range', () => {
  const grey = (...levels: number[]) => ({
    width: levels.length,
    height: 1,
    data: levels.flatMap((level) => [level, level, level]),
    unit: 1,
  })

  it('is that of EBU R 103', () => {
    // −5 % … 105 % of R′G′B′ and −1 % … 103 % of Y′ (version 3.0, from memory): a grey leaves the range of luma first.
    const { marks, below, above } = legalMap(grey(-0.011, -0.009, 0.5, 1.029, 1.031), standard)
    expect([...marks]).toEqual([1, 0, 0, 0, 2])
    expect([below, above]).toEqual([0.2, 0.2])
    // A single channel has more room.
    const red = (level: number) => ({ width: 1, height: 1, data: [level, 0.5, 0.5], unit: 1 })
    expect([-0.051, -0.049, 1.049, 1.051].map((level) => legalMap(red(level), standard).marks[0])).toEqual([
      1, 0, 0, 2,
    ])
  })

  it('is no matter of a log recording', () => {
    const log = scopeStandard({ ...spec, transfer: { log: { base: 2, logSideSlope: 0.1 } } })
    expect(legalMap(grey(-1, 2), log)).toMatchObject({ below: 0, above: 0 })
  })
})

describe('pixels of another encoding', () => {
  const data = Int16Array.from({ length: 300 }, (_, i) => Math.round((thinUnit * i) / 299))
  const pixels: ScopePixels = { width: 100, height: 1, data, unit: thinUnit }

  it('carry the same light: 18 % grey of BT.709 is at its level of the other curve', () => {
    // BT.709-6, item 1.2, and IEC 61966-2-1: 18 % is 0.409 in one, 0.461 in the other.
    const grey = Math.round(thinUnit * (1.099 * 0.18 ** 0.45 - 0.099))
    const srgb = recoded({ width: 1, height: 1, data: [grey, grey, grey], unit: thinUnit }, spec, {
      ...spec,
      transfer: 'srgb',
    })
    const wanted = 1.055 * 0.18 ** (1 / 2.4) - 0.055
    for (const value of srgb.data as Int16Array)
      expect(Math.abs(value / thinUnit - wanted)).toBeLessThan(3e-4)
  })

  it('come back, and stay themselves where nothing changes', () => {
    expect(recoded(pixels, spec, { ...spec, range: 'narrow' })).toBe(pixels)
    const other = { transfer: 'hlg', primaries: 'bt2020', range: 'full' } as const
    const back = recoded(recoded(pixels, spec, other), other, spec).data as Int16Array
    // Both ways are rounded to whole levels; near black BT.709 is four times as steep as HLG's root is flat.
    const off = back.map((value, i) => Math.abs(value - data[i]!))
    expect(Math.max(...off)).toBeLessThanOrEqual(8)
  })
})

describe('a painted trace', () => {
  it('shows every hit, more hits brighter, and none where there is none', () => {
    const picture = new Uint8ClampedArray(16)
    paintTrace(picture, { width: 4, height: 1, hits: Uint32Array.of(0, 1, 10, 1000) }, [200, 100, 0])
    const red = [0, 4, 8, 12].map((at) => picture[at]!)
    expect(red[0]).toBe(0)
    expect(picture[3]).toBe(0)
    expect(red[1]).toBeGreaterThan(30)
    expect(red[2]).toBeGreaterThan(red[1]!)
    expect(red[3]).toBe(200)
  })
})

describe('a thinned frame', () => {
  it('has the range taken out: black is 0 and the nominal peak 1, in 8 and 10 bits', () => {
    // ITU-R BT.709-6, item 4.6.
    const eight = createFrame(4, 1, Uint8Array.from([16, 16, 16, 235, 235, 235, 1, 1, 1, 254, 254, 254]), 8)
    expect([...thinFrame(eight, 'narrow', 4).data].filter((_, i) => i % 3 === 0)).toEqual([
      0,
      thinUnit,
      Math.round((thinUnit * -15) / 219),
      Math.round((thinUnit * 238) / 219),
    ])
    const ten = createFrame(2, 1, Uint16Array.from([64, 64, 64, 940, 940, 940]), 10)
    expect([...thinFrame(ten, 'narrow', 2).data]).toEqual([0, 0, 0, thinUnit, thinUnit, thinUnit])
    expect([...thinFrame(ten, 'full', 2).data].at(-1)).toBe(Math.round((thinUnit * 940) / 1023))
  })

  it('keeps pixels as they are, every so many', () => {
    const data = Uint8Array.from({ length: 3 * 7 * 5 }, (_, i) => Math.floor(i / 3))
    const frame = createFrame(7, 5, data, 8)
    const { width, height, data: thin } = thinFrame(frame, 'full', 3)
    expect([width, height]).toEqual([2, 2])
    const taken = [...thin].filter((_, i) => i % 3 === 0).map((value) => Math.round((255 * value) / thinUnit))
    expect(taken).toEqual([8, 11, 29, 32])
    expect(thinFrame(frame, 'full', 7)).toMatchObject({ width: 7, height: 5 })
    // One row remains of a frame that is wider than high by more than the step.
    expect(thinFrame(createFrame(9, 1, new Uint8Array(27), 8), 'full', 3)).toMatchObject({
      width: 3,
      height: 1,
    })
  })
})
