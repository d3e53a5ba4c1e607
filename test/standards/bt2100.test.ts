import { readFileSync } from 'node:fs'
import { pqCode, pqLuminance, referenceWhite, resolveTransfer } from '@isochip/core'
import { describe, expect, it } from 'vitest'

const pq = resolveTransfer('pq')
const hlg = resolveTransfer('hlg')

describe('PQ', () => {
  // The formula of ITU-R BT.2100-2, table 4, computed by mpmath at 300 bits: data/elementary/makePq.py.
  const exact = JSON.parse(readFileSync(new URL('data/elementary/pq.json', import.meta.url), 'utf8')) as [
    luminance: number,
    code: string,
  ][]

  it('is the formula from black to 10 000 cd/m²', () => {
    expect(exact.length).toBeGreaterThan(80)
    // The exponent of 78.84 carries the two roundings of its base, of 1.1e-16 each, on into the fifteenth digit.
    for (const [luminance, code] of exact)
      expect(Math.abs(pqCode(luminance) / Number(code) - 1)).toBeLessThan(2 * 78.84 * 1.2e-16)
  })

  // SMPTE ST 2084; values from memory.
  it.each([
    { luminance: 10000, code: 1 },
    { luminance: 4000, code: 0.9025724 },
    { luminance: 1000, code: 0.7518271 },
    { luminance: 100, code: 0.5080784 },
  ])('$luminance cd/m² is $code', ({ luminance, code }) => {
    expect(pqCode(luminance)).toBeCloseTo(code, 7)
    // The code has seven digits, the curve about 1 % of light for 0.001 of code.
    expect(pqLuminance(code) / luminance).toBeCloseTo(1, 5)
  })

  it('ends at black and at 10 000 cd/m²', () => {
    expect(pqLuminance(0)).toBe(0)
    expect(pqLuminance(1)).toBeCloseTo(10000, 8)
  })
})

describe('HLG', () => {
  // ITU-R BT.2100-2, table 5, with the constants to the digits printed in its notes.
  const [a, b, c] = [0.17883277, 0.28466892, 0.55991073]
  const printed = (scene: number) =>
    scene <= 1 / 12 ? Math.sqrt(3 * scene) : a * Math.log(12 * scene - b) + c
  const white = (Math.exp((0.75 - c) / a) + b) / 12

  it('is the printed formula, relative to the diffuse white at 75 %', () => {
    for (let i = 0; i <= 1000; i++) {
      const scene = (i / 1000) ** 2
      // Eight digits of the printed constants.
      expect(hlg.encode(scene / white, 0)).toBeCloseTo(printed(scene), 7)
    }
  })

  it('has 0.5 at a twelfth of the scene light and 1 at all of it', () => {
    expect(hlg.encode(1 / 12 / white, 0)).toBeCloseTo(0.5, 7)
    expect(hlg.encode(1 / white, 0)).toBeCloseTo(1, 7)
    expect(hlg.decode(0, 0)).toBe(0)
  })
})

describe('BT.2408', () => {
  // ITU-R BT.2408, table 1 (section 2.1): nominal levels of charts on a display of 1000 cd/m², in whole percent and
  // cd/m². Values from memory.
  const table = [
    { what: 'grey card', reflectance: 0.18, luminance: 26, pq: 38, hlg: 38 },
    { what: 'chart white', reflectance: 0.83, luminance: 162, pq: 56, hlg: 71 },
    { what: 'chart white', reflectance: 0.9, luminance: 179, pq: 57, hlg: 73 },
    { what: 'diffuse white', reflectance: 1, luminance: 203, pq: 58, hlg: 75 },
  ]

  it('sets the diffuse white to 203 cd/m²', () => expect(referenceWhite).toBe(203))

  it.each(table)('$what, reflectance $reflectance: $hlg % HLG', ({ reflectance, hlg: percent }) => {
    expect(Math.round(100 * hlg.encode(reflectance, 0))).toBe(percent)
  })

  it.each(table)('$what, $luminance cd/m²: $pq % PQ', ({ luminance, pq: percent }) => {
    expect(Math.round(100 * pqCode(luminance))).toBe(percent)
    expect(Math.round(100 * pq.encode(luminance / 203, 0))).toBe(percent)
  })

  it.each(table)('$what: HLG through the display of 1000 cd/m² is $luminance cd/m²', (row) => {
    // BT.2100-2, table 5, the OOTF with system gamma 1.2 on neutrals: F_D = 1000 · E^1.2.
    const scene = (Math.exp((hlg.encode(row.reflectance, 0) - 0.55991073) / 0.17883277) + 0.28466892) / 12
    const below = (hlg.encode(row.reflectance, 0) ** 2 / 3) ** 1.2 * 1000
    const shown = row.reflectance < 0.3 ? below : 1000 * scene ** 1.2
    // The table rounds to whole cd/m².
    expect(Math.abs(shown - row.luminance)).toBeLessThan(0.75)
  })
})
