import { labFromXyz65 } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { lightPower, materials, xyzOf } from '../src/index.ts'

const some = materials(7, 240)
const nm = (at: number) => (at - 380) / 5

describe('materials', () => {
  it('are the same for the same start number, and others for another', () => {
    expect(materials(7, 12)).toEqual(some.slice(0, 12))
    expect(materials(8, 12)).not.toEqual(some.slice(0, 12))
  })

  it('reflect between 1 % and 98 %, and no step of 5 nm is larger than 0.12', () => {
    for (const { kind, reflectance } of some) {
      const steps = reflectance.slice(1).map((value, i) => Math.abs(value - reflectance[i]!))
      expect(Math.min(...reflectance)).toBeGreaterThanOrEqual(0.01)
      expect(Math.max(...reflectance)).toBeLessThanOrEqual(0.98)
      expect(Math.max(...steps), kind).toBeLessThan(0.12)
    }
  })

  // Facts of the trade (common practice, no source): skins lie at a hue between red and yellow whatever their
  // lightness; leaves have a red edge and a bump in the green.
  it('skins lie between red and yellow, and show the dips of blood at 542 and 577 nm', () => {
    const power = lightPower('D65')
    for (const { reflectance } of some.filter(({ kind }) => kind === 'skin')) {
      const [L, a, b] = labFromXyz65(xyzOf(power, reflectance))
      const hue = (Math.atan2(b, a) * 180) / Math.PI
      expect(hue).toBeGreaterThan(30)
      expect(hue).toBeLessThan(80)
      expect(L).toBeGreaterThan(15)
      expect(L).toBeLessThan(85)
      expect(reflectance[nm(575)]!).toBeLessThan((reflectance[nm(560)]! + reflectance[nm(590)]!) / 2)
      expect(reflectance[nm(650)]!).toBeGreaterThan(reflectance[nm(540)]!)
    }
  })

  it('leaves have a red edge at 700 nm and more green than blue', () => {
    for (const { reflectance } of some.filter(({ kind }) => kind === 'foliage')) {
      expect(reflectance[nm(750)]!).toBeGreaterThan(1.3 * reflectance[nm(680)]!)
      expect(reflectance[nm(550)]!).toBeGreaterThan(1.3 * reflectance[nm(450)]!)
    }
  })
})
