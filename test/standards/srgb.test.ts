import { resolveTransfer } from '@isochip/core'
import { convertLrgbToRgb, convertRgbToLrgb } from 'culori'
import { describe, expect, it } from 'vitest'

const srgb = resolveTransfer('srgb')

describe('IEC 61966-2-1', () => {
  // Clause 5.2: the break 0.0031308 in light is 0.04045 in the signal, to the digits printed.
  it('breaks at 0.0031308 and 0.04045', () => {
    expect(srgb.encode(0.0031308, 0)).toBeCloseTo(0.04045, 6)
    expect(srgb.decode(0.04045, 0)).toBeCloseTo(0.0031308, 7)
  })

  // Values from memory: code 0.5 is 0.2140 of the light, and an 18 % grey is 8-bit code 118.
  it('takes half the signal to 0.2140 and an 18 % grey to code 118', () => {
    expect(srgb.decode(0.5, 0)).toBeCloseTo(0.214, 4)
    expect(Math.round(255 * srgb.encode(0.18, 0))).toBe(118)
  })

  it('agrees with culori (4.0.2) on every 8-bit code, both ways', () => {
    for (let code = 0; code <= 255; code++) {
      const rgb = { mode: 'rgb' as const, r: code / 255, g: code / 255, b: code / 255 }
      const light = convertRgbToLrgb(rgb).r
      expect(srgb.decode(code / 255, 0)).toBeCloseTo(light, 12)
      // culori continues the break's own rounding a little otherwise: seven digits.
      expect(srgb.encode(light, 0)).toBeCloseTo(convertLrgbToRgb({ r: light, g: light, b: light }).r, 7)
    }
  })
})
