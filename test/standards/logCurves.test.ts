import { readFileSync } from 'node:fs'
import { type LogParameters, resolveTransfer } from '@isochip/core'
import { describe, expect, it } from 'vitest'

// OpenColorIO's log transforms on the same parameters, which are those of the Log node of SMPTE ST 2136-1:
// data/log-curves/bake.py made the curves and the numbers.
const oracle = JSON.parse(readFileSync(new URL('./data/log-curves/ocio.json', import.meta.url), 'utf8')) as {
  curves: {
    kind: string
    parameters: LogParameters
    light: number[]
    encoded: number[]
    code: number[]
    decoded: number[]
  }[]
}

describe('log curves against OpenColorIO', () => {
  for (const [i, curve] of oracle.curves.entries()) {
    const { kind, parameters, light, encoded, code, decoded } = curve
    const transfer = resolveTransfer({ log: parameters })

    it(`${kind} curve ${i + 1}: light to code`, () => {
      // It reckons in 32-bit floats, with an approximate logarithm.
      for (const [k, x] of light.entries()) {
        expect(Math.abs(transfer.encode(x, 0) - encoded[k]!), `light ${x}`).toBeLessThan(
          2e-5 * Math.max(1, Math.abs(encoded[k]!)),
        )
      }
    })

    it(`${kind} curve ${i + 1}: code to light`, () => {
      for (const [k, y] of code.entries()) {
        expect(Math.abs(transfer.decode(y, 0) - decoded[k]!), `code ${y}`).toBeLessThan(
          2e-4 * Math.max(0.1, Math.abs(decoded[k]!)),
        )
      }
    })
  }
})
