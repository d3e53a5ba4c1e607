import { describe, expect, it } from 'vitest'
import { flatRegions } from '../src/find/candidates/flatRegions.ts'
import { quadOfHull } from '../src/find/candidates/quadOfHull.ts'
import { gradientMap } from '../src/find/prepare/gradientMap.ts'
import { pictureInParts } from '../src/find/prepare/pictureInParts.ts'
import { workingImage } from '../src/find/prepare/workingImage.ts'
import { createFrame, type Point } from '../src/index.ts'
import { randomNumbers } from './support/scene.ts'

const ramp = (width: number, height: number, level: (x: number) => number) =>
  createFrame(
    width,
    height,
    Float32Array.from({ length: 3 * width * height }, (_, i) => level(Math.floor(i / 3) % width)),
  )

describe('workingImage', () => {
  it('covers frame pixels in part by that part: a ramp stays a ramp at any scale', () => {
    for (const longest of [100, 77, 61, 43]) {
      const image = workingImage(
        ramp(100, 40, (x) => 0.5 + x / 200),
        longest,
      )
      const row = Array.from({ length: image.width }, (_, x) => image.data[3 * (5 * image.width + x)]!)
      const steps = row.slice(1).map((value, x) => value - row[x]!)
      // Frame pixels are steps, not a slope: a mean that begins within one is off by up to an eighth of its step, so two
      // neighbours differ from the slope by up to a quarter. Away from the ends, which the stretch cuts off.
      const inner = steps.slice(2, -3)
      const mean = inner.reduce((sum, step) => sum + step, 0) / inner.length
      for (const step of inner) expect(Math.abs(step - mean)).toBeLessThan((mean * image.scale) / 4)
    }
  })

  it('gives the same picture for half the exposure', () => {
    const full = workingImage(
      ramp(64, 20, (x) => 0.2 + x / 100),
      64,
    )
    const half = workingImage(
      ramp(64, 20, (x) => 0.1 + x / 200),
      64,
    )
    for (let i = 0; i < full.data.length; i += 17) expect(half.data[i]).toBeCloseTo(full.data[i]!, 2)
  })
})

describe('gradientMap', () => {
  it('is the slope of a ramp', () => {
    const image = {
      ...workingImage(
        ramp(8, 8, () => 0.5),
        8,
      ),
      data: Float32Array.from({ length: 192 }, (_, i) => 0.03 * (Math.floor(i / 3) % 8)),
    }
    for (const value of gradientMap(image)) expect(value).toBeCloseTo(0.03, 6)
  })
})

describe('flatRegions', () => {
  it('finds two boxes apart, with their middles', () => {
    const gradient = new Float32Array(20 * 10).fill(1)
    for (let y = 2; y < 7; y++) for (const x of [2, 3, 4, 5, 12, 13, 14, 15, 16]) gradient[20 * y + x] = 0
    const regions = flatRegions(gradient, 20, 10, 0.5, { smallest: 5, largest: 100, most: 10 })
    expect(regions.map(({ area, centre }) => ({ area, centre }))).toEqual([
      { area: 20, centre: [4, 4.5] },
      { area: 25, centre: [14.5, 4.5] },
    ])
    expect(regions[0]!.hull).toHaveLength(4)
  })

  // By what a convex hull is: corners of pixels, a turn to one side at each, and no pixel without.
  it('has the convex hull of a figure of any shape, from its leftmost corner on', () => {
    const next = randomNumbers(5)
    const [width, height] = [40, 30]
    for (let round = 0; round < 40; round++) {
      const gradient = Float32Array.from({ length: width * height }, () => (next() < 0.62 ? 0 : 1))
      const [region] = flatRegions(gradient, width, height, 0.5, { smallest: 20, largest: 1200 }).sort(
        (a, b) => b.area - a.area,
      )
      const { hull, area } = region!
      const turn = (a: Point, b: Point, c: Point) =>
        (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
      hull.forEach((a, k) => {
        const [b, c] = [hull[(k + 1) % hull.length]!, hull[(k + 2) % hull.length]!]
        expect(turn(a, b, c)).toBeGreaterThan(0)
      })
      const leftmost = Math.min(...hull.map(([x]) => x))
      expect(hull[0]![0]).toBe(leftmost)
      // Pixels of the region are those connected to one of it.
      const seen = connected(gradient, width, height, hull[0]!)
      expect(seen).toHaveLength(area)
      const corners = seen.flatMap(([x, y]): Point[] => [
        [x, y],
        [x + 1, y],
        [x, y + 1],
        [x + 1, y + 1],
      ])
      const without = corners.filter((corner) =>
        hull.some((a, k) => turn(a, hull[(k + 1) % hull.length]!, corner) < 0),
      )
      expect(without).toEqual([])
    }
  })

  it('leaves out what fills too little of its hull', () => {
    const gradient = new Float32Array(20 * 20).fill(1)
    for (let k = 2; k < 18; k++) {
      gradient[20 * 2 + k] = 0
      gradient[20 * k + 2] = 0
    }
    const limits = { smallest: 5, largest: 400 }
    expect(flatRegions(gradient, 20, 20, 0.5, limits)).toHaveLength(1)
    expect(flatRegions(gradient, 20, 20, 0.5, { ...limits, hullFill: 0.5 })).toEqual([])
  })
})

/** All flat pixels that hang together with the one to the right of a point and below it. */
function connected(gradient: Float32Array, width: number, height: number, [fx, fy]: Point): Point[] {
  const seen = new Set<number>()
  const left = [width * fy + fx]
  while (left.length > 0) {
    const at = left.pop()!
    if (seen.has(at) || gradient[at] !== 0) continue
    seen.add(at)
    const x = at % width
    if (x > 0) left.push(at - 1)
    if (x < width - 1) left.push(at + 1)
    if (at >= width) left.push(at - width)
    if (at < width * (height - 1)) left.push(at + width)
  }
  return [...seen].map((at): Point => [at % width, Math.floor(at / width)])
}

describe('quadOfHull', () => {
  it('prolongs the long sides over a cut corner', () => {
    const quad = quadOfHull([
      [1, 0],
      [10, 0],
      [10, 8],
      [0, 8],
      [0, 1],
    ])!
    const sorted = [...quad].map(([x, y]) => `${+x.toFixed(9) + 0},${+y.toFixed(9) + 0}`).sort()
    expect(sorted).toEqual(['0,0', '0,8', '10,0', '10,8'])
  })

  it('needs four corners', () => {
    expect(
      quadOfHull([
        [0, 0],
        [1, 0],
        [0, 1],
      ]),
    ).toBeUndefined()
  })
})

describe('pictureInParts', () => {
  it.each([
    [300, 200, 300, 'uint16'],
    [300, 200, 211, 'uint16'],
    [701, 395, 333, 'float'],
  ] as const)(
    'is the picture made whole, %i × %i to %i, where it is looked at',
    (width, height, longest, format) => {
      const next = randomNumbers(width)
      const top = format === 'float' ? 1 : 65535
      const samples = Array.from({ length: 3 * width * height }, () => top * next() ** 3)
      const frame = createFrame(
        width,
        height,
        format === 'float' ? Float32Array.from(samples) : Uint16Array.from(samples),
      )
      const whole = workingImage(frame, longest)
      const part = pictureInParts(frame, longest, whole)
      expect([part.width, part.height, part.scale]).toEqual([whole.width, whole.height, whole.scale])
      part.need!(20, 30, 90, 70)
      const at = (x: number, y: number) => 3 * (y * whole.width + x)
      for (let y = 30; y <= 70; y++)
        for (let x = 20; x <= 90; x++)
          for (let c = 0; c < 3; c++)
            expect(part.data[at(x, y) + c]).toBeCloseTo(whole.data[at(x, y) + c]!, 5)
      expect(part.data[at(whole.width - 1, whole.height - 1)]).toBe(0)
      part.need!(0, 0, whole.width, whole.height)
      for (let k = 0; k < whole.data.length; k++)
        if (Math.abs(part.data[k]! - whole.data[k]!) > 1e-5)
          throw new Error(`sample ${k}: ${part.data[k]}, ${whole.data[k]}`)
    },
  )
})
