import { describe, expect, it } from 'vitest'
import { evenParts } from '../src/find/candidates/evenParts.ts'
import { flatRegions } from '../src/find/candidates/flatRegions.ts'
import { regionsByKernel } from '../src/find/candidates/regionsByKernel.ts'
import { gradientMap } from '../src/find/prepare/gradientMap.ts'
import { medianFilter } from '../src/find/prepare/medianFilter.ts'
import { pictureKernel } from '../src/find/prepare/pictureKernel.ts'
import { reducedFrame } from '../src/find/prepare/reducedFrame.ts'
import { type WorkingImage, workingImage } from '../src/find/prepare/workingImage.ts'
import { createFrame } from '../src/index.ts'
import { randomNumbers } from './support/scene.ts'

const noise = (width: number, height: number): WorkingImage => {
  const next = randomNumbers(width + height)
  const data = Float32Array.from({ length: 3 * width * height }, () => Math.max(0, 1.3 * next() - 0.05))
  return { width, height, data, scale: 1, clip: [2, 2, 2], tones: [] }
}

/** Sizes about those that are worked on at once: vectors of four, bands of 32 rows, squares of 96. */
const sizes = [
  [1, 1],
  [2, 5],
  [3, 3],
  [4, 34],
  [5, 35],
  [97, 98],
  [131, 66],
  [200, 193],
] as const

describe('work on pixels in WebAssembly gives the bytes of the JavaScript', () => {
  it('which this engine has', () => expect(pictureKernel()).not.toBeNull())

  it.each(sizes)('gradients, %i × %i', (width, height) => {
    const image = noise(width, height)
    expect(gradientMap(image)).toEqual(gradientMap(image, null))
  })

  it.each(sizes)('medians, %i × %i', (width, height) => {
    const image = noise(width, height)
    const [with_, without] = [medianFilter(image), medianFilter(image, null)]
    for (const { need } of [with_, without]) need!(0, 0, width, height)
    expect(with_.data).toEqual(without.data)
  })

  /** Samples of each kind, the singles dark, some of them not finite. */
  const kinds = [
    ['bytes', (count: number) => Uint8Array.from({ length: count }, (_, k) => (k * 7919) % 256)],
    ['16 bits', (count: number) => Uint16Array.from({ length: count }, (_, k) => (k * 7919) % 65536)],
    [
      'singles',
      (count: number) => {
        const next = randomNumbers(count)
        const odd = [Number.NaN, Number.POSITIVE_INFINITY, -0.1, 3]
        return Float32Array.from({ length: count }, (_, k) => (k % 97 === 5 ? odd[k % 4]! : next() ** 6))
      },
    ],
  ] as const

  for (const [kind, samples] of kinds) {
    it.each(sizes)(`fewer pixels of ${kind}, %i × %i`, (width, height) => {
      const frame = createFrame(width, height, samples(3 * width * height))
      for (const longest of [200, 150, 96, 40, 7, 1])
        expect(workingImage(frame, longest)).toEqual(workingImage(frame, longest, null))
      for (const factor of [2, 3])
        if (Math.min(width, height) >= factor)
          expect(reducedFrame(frame, factor)).toEqual(reducedFrame(frame, factor, null))
    })
  }

  /** Squares on a ground, under noise that grows to the right. */
  const squares = (width: number, height: number): WorkingImage => {
    const next = randomNumbers(width + height)
    const data = Float32Array.from({ length: 3 * width * height }, (_, i) => {
      const [x, y] = [Math.floor(i / 3) % width, Math.floor(i / 3 / width)]
      return 0.5 + 0.2 * Math.sign(Math.sin(x / 7) * Math.cos(y / 9)) + 0.05 * next() * (x / width)
    })
    return { width, height, data, scale: 1, clip: [2, 2, 2], tones: [] }
  }

  it.each([...sizes, [16, 40], [700, 500]] as const)('even parts, %i × %i', (width, height) => {
    for (const image of [squares(width, height), noise(width, height)])
      expect(evenParts(image)).toEqual(evenParts(image, null))
  })

  it('the largest of too many regions', () => {
    const { width, height } = squares(320, 200)
    const gradient = gradientMap(noise(width, height))
    const kernel = pictureKernel()!
    for (const threshold of [0.1, 0.12, 0.15])
      for (const most of [1, 20, 500]) {
        const limits = { smallest: 2, largest: 5000, most, hullFill: 0.5 }
        const plain = flatRegions(gradient, width, height, threshold, limits)
        expect(plain.length).toBeGreaterThan(0)
        expect(regionsByKernel(kernel, gradient, width, height, limits)(threshold)).toEqual(plain)
      }
  })
})
