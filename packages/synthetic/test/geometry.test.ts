import { inverse3 } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { project, squareToQuad } from '../src/picture/homography.ts'
import { lens } from '../src/picture/lens.ts'
import { cornersOf } from '../src/picture/pose.ts'

describe('geometry', () => {
  const pose = { centre: [0.4, 0.6], size: 0.5, rotation: 130, tilt: 30, pan: -25 } as const
  const quad = cornersOf(pose, 1.5, 1280, 720)

  it('the map of the unit square takes its corners to the quad, and its inverse back', () => {
    const map = squareToQuad(quad)
    const unit = [
      [0, 0],
      [1, 0],
      [1, 1],
      [0, 1],
    ] as const
    unit.forEach((point, i) => {
      const there = project(map, point)
      expect(there[0]).toBeCloseTo(quad[i]![0], 9)
      expect(there[1]).toBeCloseTo(quad[i]![1], 9)
      const back = project(inverse3(map), there)
      expect(back[0]).toBeCloseTo(point[0], 9)
      expect(back[1]).toBeCloseTo(point[1], 9)
    })
  })

  it('a pose keeps the middle: the diagonals cross there', () => {
    const middle = project(squareToQuad(quad), [0.5, 0.5])
    expect(middle[0]).toBeCloseTo(0.4 * 1280, 6)
    expect(middle[1]).toBeCloseTo(0.6 * 720, 6)
  })

  it('straight on, the width is the share asked for and the sides keep their ratio', () => {
    const [a, b, , d] = cornersOf({ centre: [0.5, 0.5], size: 0.5 }, 1.5, 1280, 720)
    expect(b[0] - a[0]).toBeCloseTo(640, 9)
    expect(d[1] - a[1]).toBeCloseTo(640 / 1.5, 9)
  })

  it('corners run clockwise, and anticlockwise in a mirror', () => {
    const turn = (mirrored: boolean) => {
      const [a, b, c] = cornersOf({ ...pose, mirrored }, 1.5, 1280, 720)
      return Math.sign((b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]))
    }
    expect(turn(false)).toBe(1)
    expect(turn(true)).toBe(-1)
  })

  it('the lens takes back what it bends, to a hundredth of a pixel', () => {
    for (const k of [-0.08, 0.08]) {
      const glass = lens(k, 1280, 720)
      for (const point of [
        [3, 5],
        [640, 360],
        [700, 100],
        [1270, 700],
      ] as const) {
        const [x, y] = glass.distort(point)
        const factor = glass.factorBack((x - 640) ** 2 + (y - 360) ** 2)
        expect(Math.abs(640 + (x - 640) * factor - point[0])).toBeLessThan(0.01)
        expect(Math.abs(360 + (y - 360) * factor - point[1])).toBeLessThan(0.01)
      }
    }
  })
})
