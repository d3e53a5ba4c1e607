import { createFrame, type Frame } from '@isochip/frames'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { reduceFrame } from '../src/pictures/reduceFrame.ts'

/** What the doc comment says, pixel by pixel. */
function blockMean(frame: Frame, block: number, x: number, y: number, channel: number): number {
  let sum = 0
  for (let dy = 0; dy < block; dy++)
    for (let dx = 0; dx < block; dx++)
      sum += frame.data[3 * ((y * block + dy) * frame.width + x * block + dx) + channel]!
  return sum / block ** 2
}

const sizes = fc.record({
  width: fc.integer({ min: 1, max: 23 }),
  height: fc.integer({ min: 1, max: 23 }),
  longest: fc.integer({ min: 3, max: 23 }),
  seed: fc.nat(),
})

/** Some numbers, spread over all that a sample can be. */
const spread = (i: number, seed: number, scale: number) => ((i * 7919 + seed * 104729) % 65521) * scale

describe('reduceFrame', () => {
  it.each([
    ['8 bits', Uint8Array, 255 / 65520],
    ['16 bits', Uint16Array, 65535 / 65520],
    ['float', Float32Array, 1 / 65520],
  ] as const)('takes the mean of whole blocks, rounded where samples are codes: %s', (_, Kind, scale) => {
    fc.assert(
      fc.property(sizes, ({ width, height, longest, seed }) => {
        // A frame narrower than a block holds no chart.
        fc.pre(Math.min(width, height) >= Math.ceil(Math.max(width, height) / longest))
        const data = new Kind(3 * width * height).map((_, i) => spread(i, seed, scale))
        const whole = createFrame(width, height, data)
        const { frame, block } = reduceFrame(whole, longest)
        expect(block).toBe(Math.ceil(Math.max(width, height) / longest))
        expect([frame.width, frame.height]).toEqual([Math.floor(width / block), Math.floor(height / block)])
        for (let y = 0; y < frame.height; y++)
          for (let x = 0; x < frame.width; x++)
            for (const channel of [0, 1, 2]) {
              const mean = blockMean(whole, block, x, y, channel)
              const sample = frame.data[3 * (y * frame.width + x) + channel]!
              expect(sample).toBe(whole.bits === 'float' ? Math.fround(mean) : Math.floor(mean + 0.5))
            }
      }),
      { endOnFailure: true },
    )
  })
  it('leaves a frame that is small enough as it is', () => {
    const small = createFrame(4, 3, new Uint8Array(36).fill(9))
    expect(reduceFrame(small, 4)).toEqual({ frame: small, block: 1 })
  })
})
