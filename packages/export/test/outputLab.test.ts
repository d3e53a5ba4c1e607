import { resolveEncoding } from '@isochip/core'
import { lab65 } from 'culori'
import { expect, test } from 'vitest'
import { outputLab } from '../src/index.ts'

// The CIELAB of a general-purpose colour library, relative to D65, as that of an sRGB picture is here; its white has six digits.
test('what an sRGB code looks like is what culori makes of it', () => {
  const lab = outputLab(resolveEncoding('srgb'), 8)
  const levels = [0, 3, 12, 64, 128, 200, 255].map((code) => code / 255)
  for (const r of levels) {
    for (const g of levels) {
      for (const b of levels) {
        const other = lab65({ mode: 'rgb', r, g, b })
        const own = lab([r, g, b])
        for (const [i, value] of [other.l, other.a, other.b].entries()) expect(own[i]).toBeCloseTo(value, 2)
      }
    }
  }
  expect(lab([1, 1, 1])[0]).toBeCloseTo(100, 6)
  // CIE 15:2018: L* of a luminance of 0.18 is 116·∛0.18 − 16 = 49.496.
  const grey = resolveEncoding('linear')
  expect(outputLab(grey)([0.18, 0.18, 0.18])[0]).toBeCloseTo(49.496, 3)
})
