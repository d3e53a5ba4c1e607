import { describe, expect, it } from 'vitest'
import { reducedFrame } from '../src/find/prepare/reducedFrame.ts'
import { createFrame } from '../src/index.ts'

describe('a frame of fewer pixels', () => {
  it('has the means of the pixels, and no rest on the right and below', () => {
    const [width, height, factor] = [7, 5, 2]
    const data = Uint16Array.from({ length: 3 * width * height }, (_, k) => (k * 7919) % 65536)
    const { data: out, ...size } = reducedFrame(createFrame(width, height, data, 16), factor)
    expect(size).toMatchObject({ width: 3, height: 2, bits: 'float', codeScale: 1 })
    // By the definition of a mean, pixel by pixel.
    for (const [x, y, c] of [
      [0, 0, 0],
      [2, 0, 1],
      [1, 1, 2],
      [2, 1, 0],
    ] as const) {
      const under = [0, 1].flatMap((j) =>
        [0, 1].map((i) => data[3 * ((2 * y + j) * width + 2 * x + i) + c]! / 65535),
      )
      expect(out[3 * (3 * y + x) + c]).toBeCloseTo(under.reduce((sum, one) => sum + one, 0) / 4, 6)
    }
  })

  it('counts samples that are not finite as nothing', () => {
    const data = new Float32Array(3 * 9).fill(0.9)
    data[0] = Number.NaN
    data[4] = Number.POSITIVE_INFINITY
    const { data: out } = reducedFrame(createFrame(3, 3, data), 3)
    expect([...out].map((one) => one.toFixed(4))).toEqual(['0.8000', '0.8000', '0.9000'])
  })
})
