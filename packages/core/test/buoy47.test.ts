import { readFileSync } from 'node:fs'
import {
  apply3,
  builtinChart,
  regionCentre,
  regionOf,
  resolvePrimaries,
  type Vec3,
  xyzToRgb,
} from '@isochip/core'
import { describe, expect, it } from 'vitest'

const chart = builtinChart('buoy47')
if (chart.regions === undefined) throw new Error('buoy47 is a chart of regions')
const toRgb = xyzToRgb(resolvePrimaries('bt709'))

/** ITU-R BT.709-6, item 1.2: the camera's signal of light, white at 1. */
const signalOf = (value: Vec3) =>
  apply3(toRgb, value).map((light) =>
    light < 0.018 ? 4.5 * light : 1.099 * light ** 0.45 - 0.099,
  ) as unknown as Vec3

/** ITU-R BT.709-6, items 3.2 and 3.3. */
function scope([r, g, b]: Vec3): readonly [cb: number, cr: number] {
  const luma = 0.2126 * r + 0.7152 * g + 0.0722 * b
  return [(b - luma) / 1.8556, (r - luma) / 1.5748]
}

const hues = chart.patches.slice(0, 18)
const on = hues.map(({ value }) => scope(signalOf(value!)))
const distance = (a: readonly [number, number], b: readonly [number, number]) =>
  Math.hypot(a[0] - b[0], a[1] - b[1])

describe('buoy47', () => {
  it('has primaries and secondaries on the rays of the colour bars', () => {
    const bars: readonly Vec3[] = [
      [1, 0, 0],
      [1, 0, 1],
      [0, 0, 1],
      [0, 1, 1],
      [0, 1, 0],
      [1, 1, 0],
    ]
    bars.forEach((bar, k) => {
      const [cb, cr] = scope(bar)
      const [x, y] = on[3 * k]!
      expect(hues[3 * k]!.role).toBe(k % 2 === 0 ? 'primary' : 'secondary')
      // One ray, and the same share of it for all: 0.4 of what a bar of full level has.
      expect(x).toBeCloseTo(0.4 * cb, 9)
      expect(y).toBeCloseTo(0.4 * cr, 9)
    })
  })

  it('has two hues between each of them, equally spaced on a straight line of the vectorscope', () => {
    for (let k = 0; k < 6; k++) {
      const [a, b, c, d] = [0, 1, 2, 3].map((i) => on[(3 * k + i) % 18]!)
      const third = distance(a!, d!) / 3
      for (const [p, q] of [
        [a, b],
        [b, c],
        [c, d],
      ] as const)
        expect(distance(p!, q!)).toBeCloseTo(third, 9)
    }
  })

  it('has them on the print 20° apart, clockwise, each less than a step from where a vectorscope has it', () => {
    const at = hues.map((_, k) => regionCentre(regionOf(chart, k)))
    const middle = regionCentre(
      regionOf(
        chart,
        chart.patches.findIndex(({ role }) => role === 'true-black'),
      ),
    )
    const turns = at.map(([x, y]) => (Math.atan2(middle[1] - y, x - middle[0]) * 180) / Math.PI)
    const clockwise = (from: number, to: number) => (((from - to) % 360) + 360) % 360
    turns.forEach((turn, k) => {
      expect(clockwise(turn, turns[(k + 1) % 18]!)).toBeCloseTo(20, 9)
      const [cb, cr] = on[k]!
      const scoped = (Math.atan2(cr, cb) * 180) / Math.PI
      expect(Math.abs(clockwise(turn + 180, scoped) - 180)).toBeLessThan(15)
    })
  })

  it('has two grey scales of eleven equal steps of signal that run against each other', () => {
    const scale = (of: string) =>
      chart.patches
        .map((patch, k) => ({ ...patch, at: regionCentre(regionOf(chart, k)) }))
        .filter(({ name }) => name.startsWith('step') && name.endsWith(of))
        .sort((p, q) => p.at[1] - q.at[1])
    const [down, up] = [scale('a'), scale('b')]
    expect([down.length, up.length]).toEqual([11, 11])
    down.forEach(({ value, at }, k) => {
      const [r, g, b] = signalOf(value!)
      expect(r).toBeCloseTo(0.95 - 0.08 * k, 9)
      expect(g).toBeCloseTo(r, 9)
      expect(b).toBeCloseTo(r, 9)
      expect(at[1]).toBeCloseTo(up[k]!.at[1], 9)
      expect(signalOf(up[k]!.value!)[1] + g).toBeCloseTo(1.1, 9)
    })
  })

  it('has skins, landmarks, names of their own, and the place for a true black', () => {
    expect(chart.patches.filter(({ role }) => role === 'skin')).toHaveLength(6)
    expect(new Set(chart.patches.map(({ name }) => name)).size).toBe(47)
    expect(chart.regions!.landmarks!.map(({ at }) => at)).toEqual([
      [0, 0],
      [226, 0],
      [226, 170],
      [0, 170],
    ])
    const trap = chart.patches.filter(({ role }) => role === 'true-black')
    expect(trap).toHaveLength(1)
    expect(trap[0]!.value).toBeUndefined()
  })

  it('is printed in the sRGB codes nearest to its values, within half a step of 8 bits', () => {
    const svg = readFileSync(new URL('../../../docs/prints/buoy47.svg', import.meta.url), 'utf8')
    // IEC 61966-2-1.
    const light = (code: number) => (code <= 0.04045 ? code / 12.92 : ((code + 0.055) / 1.055) ** 2.4)
    for (const { name, value } of chart.patches) {
      const fill = new RegExp(`fill="#([0-9a-f]{6})"[^>]*><title>${name}</title>`).exec(svg)?.[1]
      expect(fill, name).toBeDefined()
      if (value === undefined) continue
      const want = apply3(toRgb, value)
      for (let c = 0; c < 3; c++) {
        const code = Number.parseInt(fill!.slice(2 * c, 2 * c + 2), 16)
        expect(want[c]).toBeGreaterThan(light((code - 0.501) / 255))
        expect(want[c]).toBeLessThan(light((code + 0.501) / 255))
      }
    }
  })
})
