import { describe, expect, it } from 'vitest'
import { gradientMap } from '../src/find/prepare/gradientMap.ts'
import { medianFilter } from '../src/find/prepare/medianFilter.ts'
import { pictureKernel } from '../src/find/prepare/pictureKernel.ts'
import type { WorkingImage } from '../src/find/prepare/workingImage.ts'
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
})
