import { type Channel, resolveTransfer, type TransferSpec, transferNames } from '@isochip/core'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'

// What every transfer characteristic must be, whatever its standard: finite, rising, and its own inverse.

const curve = [0, 0.02, 0.09, 0.2, 0.42, 0.8, 1.7]
const specs: readonly (readonly [string, TransferSpec])[] = [
  ...transferNames.map((name) => [name, name] as const),
  ['power', { power: 2.2 }],
  [
    'log with a toe',
    {
      log: {
        base: 10,
        logSideSlope: 0.25,
        logSideOffset: 0.39,
        linSideSlope: 5.6,
        linSideOffset: 0.05,
        linSideBreak: 0.01,
      },
    },
  ],
  [
    'log without a toe',
    { log: { base: 10, logSideSlope: 0.3, logSideOffset: 0.6, linSideSlope: 1, linSideOffset: 0.01 } },
  ],
  [
    'table',
    {
      table: {
        code: [0, 0.1, 0.25, 0.4, 0.6, 0.8, 1],
        light: [curve, curve.map((v) => 1.1 * v), curve.map((v) => v + 0.01)],
      },
    },
  ],
]

/** The codes between which a curve has an inverse: its own ends where its standard gives it some. */
const ends: Readonly<Record<string, readonly [number, number]>> = {
  pq: [0.001, 1],
  acescc: [-0.358, 1.467],
  acescct: [-1, 1.467],
  'log without a toe': [0, 2],
}

const channel = fc.constantFrom<Channel>(0, 1, 2)

describe.each(specs)('%s', (name, spec) => {
  const transfer = resolveTransfer(spec)
  const [low, high] = ends[name] ?? [-1, 2]

  it('comes back from light to the same code', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 100_000 }), channel, (n, c) => {
        const code = low + ((high - low) * n) / 100_000
        // The two pieces of BT.709 miss each other by 1.1e-4 at the break, from the digits that are printed, and
        // those of IEC 61966-2-1 by 3e-8: within the step no code has light of its own. All else is rounding.
        const digits = name === 'bt709' ? 3 : name === 'srgb' ? 7 : 10
        expect(transfer.encode(transfer.decode(code, c), c)).toBeCloseTo(code, digits)
      }),
      { numRuns: 500, endOnFailure: true },
    )
  })

  it('rises, or at its ends stands still, in both directions', () => {
    const ordered = (min: number, max: number, unit: number) =>
      fc
        .tuple(fc.integer({ min, max }), fc.integer({ min, max }))
        .filter(([one, two]) => one !== two)
        .map((pair) => pair.toSorted((one, two) => one - two).map((n) => n * unit) as [number, number])
    fc.assert(
      fc.property(
        ordered(-4000, 4000, 1e-3),
        ordered(-100_000, 100_000, 1e-3),
        channel,
        (codes, lights, c) => {
          expect(transfer.decode(codes[1], c)).toBeGreaterThanOrEqual(transfer.decode(codes[0], c))
          expect(transfer.encode(lights[1], c)).toBeGreaterThanOrEqual(transfer.encode(lights[0], c))
        },
      ),
      { numRuns: 500, endOnFailure: true },
    )
  })

  it('never falls between neighbouring 16-bit codes of its range, and rises over four of them', () => {
    const step = (Math.min(high, 1) - Math.max(low, 0)) / 65535
    let falls = 0
    let stands = 0
    for (let i = 0; i < 65532; i++) {
      const at = Math.max(low, 0) + i * step
      if (transfer.decode(at + step, 1) < transfer.decode(at, 1)) falls++
      if (!(transfer.decode(at + 4 * step, 1) > transfer.decode(at, 1))) stands++
    }
    expect(falls).toBe(0)
    // BT.709 as printed has no light for the sixteen codes between 0.081 and the start of its power piece.
    expect(stands).toBeLessThanOrEqual(name === 'bt709' ? 16 : 0)
  })

  it('is finite for every code of a picture and any light, far outside the range too', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: -8000, max: 8000 }),
        fc.integer({ min: -300, max: 290 }),
        channel,
        (n, exponent, c) => {
          expect(Number.isFinite(transfer.decode(n / 1000, c))).toBe(true)
          expect(Number.isFinite(transfer.encode(10 ** exponent, c))).toBe(true)
          expect(Number.isFinite(transfer.encode(-(10 ** exponent), c))).toBe(true)
        },
      ),
      { numRuns: 500, endOnFailure: true },
    )
  })
})
