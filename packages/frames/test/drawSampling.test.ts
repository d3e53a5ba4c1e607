import { builtinChart, type Vec3 } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { createFrame, drawSampling, type Quad, sampleChart } from '../src/index.ts'
import { drawScene } from './support/scene.ts'

const chart = builtinChart('chart24')
const corners: Quad = [
  [80, 60],
  [720, 84],
  [700, 520],
  [96, 500],
]
const frame = drawScene({
  width: 800,
  height: 600,
  corners,
  chart,
  level: (index): Vec3 => (index % 2 === 0 ? [0.02, 0.02, 0.02] : [0.97, 0.97, 0.97]),
})
const { areas } = sampleChart({ frames: [frame], chart, corners, range: 'full' })

/** Range of luma codes along a side of an area. */
function contrast(picture: typeof frame, quad: Quad, side: number): number {
  const [a, b] = [quad[side]!, quad[(side + 1) % 4]!]
  const values: number[] = []
  for (let t = 0.3; t < 0.7; t += 0.02) {
    const x = Math.floor(a[0] + t * (b[0] - a[0]))
    const y = Math.floor(a[1] + t * (b[1] - a[1]))
    for (let d = -3; d <= 3; d++)
      for (let e = -3; e <= 3; e++) values.push(picture.data[3 * ((y + d) * picture.width + x + e) + 1]!)
  }
  return Math.max(...values) - Math.min(...values)
}

describe('drawSampling', () => {
  it('leaves the frame as it is away from the areas', () => {
    const picture = drawSampling(frame, areas)
    expect([picture.width, picture.height, picture.bits]).toEqual([800, 600, 8])
    for (const [x, y] of [
      [5, 5],
      [790, 590],
      [400, 20],
    ] as const)
      expect(picture.data[3 * (y * 800 + x)]).toBe(Math.round((frame.data[3 * (y * 800 + x)]! * 255) / 65535))
  })

  it('outlines every area with contrast, on black as on white', () => {
    const picture = drawSampling(frame, areas)
    for (const { quad } of areas)
      for (const side of [0, 1, 2, 3]) expect(contrast(picture, quad, side)).toBeGreaterThan(150)
  })

  it('marks an area, and not one of the same name on another chart', () => {
    const twice = areas.map((area) => ({ ...area, patch: 'red' }))
    const [first] = twice
    const all = drawSampling(frame, twice, { excluded: ['red'] })
    const marked = drawSampling(frame, twice, { excluded: [first!] })
    const changed = twice.map(({ quad }) => {
      const [left, top, right, bottom] = [...quad[0], ...quad[2]].map(Math.floor)
      let count = 0
      for (let y = top!; y < bottom!; y++)
        for (let x = left!; x < right!; x++) {
          const at = 3 * (y * all.width + x)
          if (all.data[at] !== marked.data[at]) count++
        }
      return count
    })
    expect(changed[0]).toBe(0)
    for (const count of changed.slice(1)) expect(count).toBeGreaterThan(100)
  })

  it('draws each of several charts as if it were alone', () => {
    const half = areas.length / 2
    const both = drawSampling(frame, areas, { starts: [0, half] })
    for (const chart of [areas.slice(0, half), areas.slice(half)]) {
      const alone = drawSampling(frame, chart)
      for (const { quad } of chart)
        for (let y = Math.floor(quad[0][1]); y < quad[2][1]; y++) {
          const [from, to] = [quad[0][0], quad[2][0]].map((x) => 3 * (y * both.width + Math.floor(x)))
          expect(both.data.slice(from, to)).toEqual(alone.data.slice(from, to))
        }
    }
  })

  it('marks clipped and left-out patches by shape', () => {
    const plain = drawSampling(frame, areas)
    const marked = drawSampling(frame, areas, { clipped: ['blue'], excluded: ['red'] })
    const differs = (name: string) => {
      const { quad } = areas.find((area) => area.patch === name)!
      let count = 0
      for (let y = Math.floor(quad[0][1]); y < quad[2][1]; y++)
        for (let x = Math.floor(quad[0][0]); x < quad[2][0]; x++)
          if (plain.data[3 * (y * 800 + x)] !== marked.data[3 * (y * 800 + x)]) count++
      return count
    }
    expect(differs('blue')).toBeGreaterThan(differs('red'))
    expect(differs('red')).toBeGreaterThan(50)
    expect(differs('green')).toBe(0)
  })

  it('scales a large frame down and keeps the marks on the patches', () => {
    const small = drawSampling(frame, areas, { longest: 400 })
    expect([small.width, small.height]).toEqual([400, 300])
    const half = areas[5]!.quad.map(([x, y]) => [x / 2, y / 2]) as unknown as Quad
    expect(contrast(small, half, 1)).toBeGreaterThan(150)
  })

  // 1.055 · 0.18^(1/2.4) − 0.055 = 0.46135, times 255 = 117.6
  it('shows light through the curve of a screen: mid grey 0.18 is code 118 after IEC 61966-2-1', () => {
    const floats = createFrame(4, 4, new Float32Array(48).fill(0.18))
    expect(drawSampling(floats, []).data[0]).toBe(118)
    const codes = createFrame(4, 4, new Uint16Array(48).fill(0.18 * 65535))
    expect(drawSampling(codes, [], { light: true }).data[0]).toBe(118)
    const large = createFrame(16, 16, new Float32Array(768).fill(0.18))
    expect(drawSampling(large, [], { longest: 4 }).data[0]).toBe(118)
  })

  it('shows the levels of a movie as they are, cut off at black and white', () => {
    const levels = [0.46, -0.07, 1.09, Number.NaN]
    const data = Float32Array.from({ length: 48 }, (_, i) => levels[i % 4]!)
    const movie = { ...createFrame(4, 4, data), clip: { low: -0.0674, high: 1.0856 } }
    const shown = drawSampling(movie, [])
    // 0.46 · 255 = 117.3
    expect([...shown.data.subarray(0, 4)]).toEqual([117, 0, 255, 0])
    expect(drawSampling(createFrame(4, 4, data), [], { light: false }).data).toEqual(shown.data)
  })
})
