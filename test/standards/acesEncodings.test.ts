import { resolveEncoding, resolvePrimaries, resolveTransfer } from '@isochip/core'
import { describe, expect, it } from 'vitest'

const acescc = resolveTransfer('acescc')
const acescct = resolveTransfer('acescct')

describe('ACEScc', () => {
  // Academy S-2014-003, section 4.4 and the table of sample values; the numbers from memory.
  it.each([
    { light: 0, code: -0.3584474886 },
    { light: 2 ** -16, code: (Math.log2(2 ** -16 + 2 ** -17) + 9.72) / 17.52 },
    { light: 2 ** -15, code: (9.72 - 15) / 17.52 },
    { light: 0.18, code: 0.4135884 },
    { light: 1, code: 0.5547945 },
  ])('$light is $code', ({ light, code }) => {
    expect(acescc.encode(light, 0)).toBeCloseTo(code, 7)
    expect(Math.abs(acescc.decode(code, 0) - light)).toBeLessThan(1e-6 * Math.max(light, 1))
  })

  it('has one code for all light below zero, and ends with the largest half float at 1.468', () => {
    expect(acescc.encode(65504, 0)).toBeCloseTo(1.468, 3)
    expect(acescc.encode(-1, 0)).toBeCloseTo(-0.3584474886, 9)
    expect(acescc.decode(2, 0)).toBe(65504)
  })

  it('spends 1 / 17.52 of the code on a stop', () => {
    for (const light of [0.01, 0.18, 1, 100]) {
      expect(acescc.encode(2 * light, 0) - acescc.encode(light, 0)).toBeCloseTo(1 / 17.52, 12)
    }
  })
})

describe('ACEScct', () => {
  // Academy S-2016-001, section 4.4 and the table of sample values; the numbers from memory.
  it.each([
    { light: 0, code: 0.0729055341958355 },
    { light: 0.0078125, code: 0.155251141552511 },
    { light: 0.18, code: 0.4135884 },
    { light: 1, code: 0.5547945 },
  ])('$light is $code', ({ light, code }) => {
    expect(acescct.encode(light, 0)).toBeCloseTo(code, 7)
    expect(Math.abs(acescct.decode(code, 0) - light)).toBeLessThan(1e-6 * Math.max(light, 1))
  })

  it('ends with the largest half float at 1.468', () => {
    expect(acescct.encode(65504, 0)).toBeCloseTo(1.468, 3)
    expect(acescct.decode(2, 0)).toBe(65504)
  })

  it('is ACEScc above the break and straight below it', () => {
    for (const light of [0.0079, 0.18, 4, 1000]) {
      expect(acescct.encode(light, 0)).toBeCloseTo(acescc.encode(light, 0), 14)
    }
    expect(acescct.encode(-0.01, 0) + acescct.encode(0.01 - 0.0022, 0)).toBeCloseTo(
      2 * acescct.encode(-0.0011, 0),
      14,
    )
  })

  it('as a Log node of the Common LUT Format is the same curve', () => {
    // SMPTE ST 2136-1 / Academy S-2014-006: base 2, slope 1 / 17.52, offset 9.72 / 17.52. Without linearSlope the
    // straight piece goes on at the slope of the log piece: then it must come out as the one that ACEScct prints.
    const log = {
      base: 2,
      logSideSlope: 1 / 17.52,
      logSideOffset: 9.72 / 17.52,
      linSideSlope: 1,
      linSideOffset: 0,
      linSideBreak: 0.0078125,
    }
    for (const node of [
      resolveTransfer({ log }),
      resolveTransfer({ log: { ...log, linearSlope: 10.5402377416545 } }),
    ]) {
      for (let i = -100; i <= 1000; i++) {
        const light = 0.001 * i
        // The printed constants have fifteen digits.
        expect(node.encode(light, 0)).toBeCloseTo(acescct.encode(light, 0), 12)
        expect(node.decode(0.001 * i, 0)).toBeCloseTo(acescct.decode(0.001 * i, 0), 11)
      }
    }
  })
})

describe('both', () => {
  it('are encodings of AP1', () => {
    expect(resolveEncoding('acescc').primaries).toBe(resolvePrimaries('ap1'))
    expect(resolveEncoding('acescct').primaries).toBe(resolvePrimaries('ap1'))
  })
})
