import { describe, expect, it } from 'vitest'
import { normals } from '../src/camera/noise.ts'
import { random } from '../src/random.ts'

const moment = (power: number) => normals.reduce((sum, value) => sum + value ** power, 0) / normals.length

describe('normals', () => {
  it('have the moments of the standard normal distribution: 0, 1, 0, 3', () => {
    expect(moment(1)).toBeCloseTo(0, 6)
    expect(moment(2)).toBeCloseTo(1, 5)
    expect(moment(3)).toBeCloseTo(0, 6)
    // The lattice ends at 3.1 deviations, which takes a little off the fourth.
    expect(Math.abs(moment(4) - 3)).toBeLessThan(0.1)
  })

  it('68.3 % lie within one deviation, 95.4 % within two', () => {
    const within = (deviations: number) =>
      normals.filter((value) => Math.abs(value) < deviations).length / normals.length
    expect(Math.abs(within(1) - 0.6827)).toBeLessThan(0.01)
    expect(Math.abs(within(2) - 0.9545)).toBeLessThan(0.005)
  })
})

describe('random', () => {
  it('fills a list with what so many calls would give, and goes on from there', () => {
    const [one, other] = [random(3), random(3)]
    const list = new Int32Array(5)
    one.fill(list)
    expect(Array.from(list, (value) => value >>> 0)).toEqual(Array.from({ length: 5 }, () => other.bits()))
    expect(one.bits()).toBe(other.bits())
  })

  it('is even over its bits, and each start number gives another stream', () => {
    const r = random(42)
    const counts = new Array<number>(16).fill(0)
    for (let i = 0; i < 16_000; i++) counts[r.bits() >>> 28]! += 1
    // Chi squared with 15 degrees of freedom: above 37.7 in one of a thousand streams.
    const chi = counts.reduce((sum, count) => sum + (count - 1000) ** 2 / 1000, 0)
    expect(chi).toBeLessThan(37.7)
    expect(random(42).next()).toBe(random(42).next())
    expect(new Set(Array.from({ length: 1000 }, (_, i) => random(i).bits())).size).toBe(1000)
  })
})
