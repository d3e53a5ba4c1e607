import { createHash } from 'node:crypto'
import { describe, expect, it } from 'vitest'
import { wholeTask } from '../../../test/support/wholeTask.ts'
import { chartFreeScene, quietScene, type Scene, scene } from '../src/index.ts'
import { overlaps } from '../src/scene/placeChart.ts'
import { planScene } from '../src/scene/planScene.ts'

const plans = Array.from({ length: 400 }, (_, i) => planScene(i + 1))
const share = (of: (plan: (typeof plans)[number]) => boolean) => plans.filter(of).length / plans.length

/** Mean of the pixels of a square around a patch's middle, as nominal fractions. */
function around({ frame }: Scene, [x, y]: readonly [number, number], half: number): number[] {
  const sum = [0, 0, 0]
  for (let dy = -half; dy <= half; dy++) {
    for (let dx = -half; dx <= half; dx++) {
      const at = (Math.floor(y + dy) * frame.width + Math.floor(x + dx)) * 3
      for (let c = 0; c < 3; c++) sum[c]! += frame.data[at + c]! / frame.codeScale / (2 * half + 1) ** 2
    }
  }
  return sum
}

const bytes = ({ frame }: Pick<Scene, 'frame'>) => createHash('sha256').update(frame.data).digest('hex')

describe('planScene', () => {
  it('covers the conditions asked for', () => {
    const sizes = plans.flatMap(({ charts }) => charts.map(({ size }) => size))
    expect(Math.min(...sizes)).toBeLessThan(0.13)
    expect(Math.max(...sizes)).toBeGreaterThan(0.85)
    const turns = plans.map(({ charts }) => (charts[0]!.place.pose.rotation! + 360) % 360)
    for (let quarter = 0; quarter < 360; quarter += 45) {
      expect(turns.some((turn) => turn >= quarter && turn < quarter + 45)).toBe(true)
    }
    const exposures = plans.map(({ conditions }) => conditions.camera.exposure!)
    expect(Math.min(...exposures)).toBeLessThan(-2.3)
    expect(Math.max(...exposures)).toBeGreaterThan(2.3)
    const kelvins = plans
      .map(({ conditions }) => conditions.camera.balancedFor)
      .flatMap((light) => (typeof light === 'object' ? [light.kelvin] : []))
    expect(Math.min(...kelvins)).toBeLessThan(2700)
    expect(Math.max(...kelvins)).toBeGreaterThan(8000)
    expect(share(({ charts }) => charts[0]!.place.pose.mirrored === true)).toBeGreaterThan(0.03)
    expect(share(({ charts }) => charts.length === 2)).toBeGreaterThan(0.04)
    expect(share(({ charts }) => charts[0]!.look.gaps === false)).toBeGreaterThan(0.15)
    expect(share(({ charts }) => charts[0]!.look.board! > 0.4)).toBeGreaterThan(0.15)
    expect(share(({ charts }) => charts[0]!.chart.id === 'quay48')).toBeGreaterThan(0.35)
    expect(share(({ charts }) => charts[0]!.look.glare !== undefined)).toBeGreaterThan(0.15)
    expect(share(({ charts }) => charts[0]!.hand !== undefined)).toBeGreaterThan(0.08)
  })

  it('keeps every patch grid in the frame, and two charts apart', () => {
    for (const { charts, conditions } of plans) {
      for (const { place } of charts) {
        const [left, top, right, bottom] = place.box
        expect(left).toBeGreaterThanOrEqual(0)
        expect(top).toBeGreaterThanOrEqual(0)
        expect(right).toBeLessThanOrEqual(conditions.width)
        expect(bottom).toBeLessThanOrEqual(conditions.height)
      }
      if (charts.length === 2) expect(overlaps(charts[0]!.place.box, charts[1]!.place.box)).toBe(false)
    }
  })
})

describe('scene', () => {
  const some = Array.from({ length: wholeTask ? 16 : 8 }, (_, i) => scene(i + 1))

  it('gives the same bytes for the same number', () => {
    const again = scene(5)
    expect(bytes(again)).toBe(bytes(some[4]!))
    expect(again.charts).toEqual(some[4]!.charts)
    expect(bytes(chartFreeScene(5))).toBe(bytes(chartFreeScene(5)))
    expect(bytes(chartFreeScene(5))).not.toBe(bytes(chartFreeScene(6)))
  })

  it('without noise it is the same scene, and its truth the same', () => {
    const quiet = quietScene(5)
    expect(quiet.charts).toEqual(some[4]!.charts)
    const [chart] = quiet.charts
    for (const patch of chart!.patches.filter(({ clipped, glare }) => !clipped && !glare)) {
      const [noisy, still] = [some[4]!, quiet].map((one) => around(one, patch.centre, 2))
      still!.forEach((level, c) => {
        expect(Math.abs(level - noisy![c]!)).toBeLessThan(0.05)
      })
    }
    expect(bytes(quiet)).not.toBe(bytes(some[4]!))
  })

  it('its truth is what the frame shows: corners, patches and levels', () => {
    for (const [i, one] of some.entries()) {
      expect(one.charts.length).toBeGreaterThan(0)
      for (const chart of one.charts) {
        expect(chart.patches).toHaveLength(chart.chart.patches.length)
        // Twice the area, positive for clockwise corners.
        const turning = chart.corners.reduce((sum, [x, y], n) => {
          const [nextX, nextY] = chart.corners[(n + 1) % 4]!
          return sum + x * nextY - nextX * y
        }, 0)
        expect(turning > 0, `scene ${i + 1}`).toBe(!chart.mirrored)
        const errors = chart.patches
          .filter(({ clipped, glare }) => !clipped && !glare)
          .flatMap(({ centre, code }) => {
            const seen = around(one, centre, 1)
            // Nine noisy pixels, and a foot of the code range that takes the noise's lower half away: not below 5 %.
            return code.flatMap((value, c) => (value < 0.05 ? [] : [Math.abs(seen[c]! - value)]))
          })
        errors.sort((a, b) => a - b)
        const median = errors[Math.floor(errors.length / 2)] ?? 0
        expect(median, `scene ${i + 1}`).toBeLessThan(0.02)
      }
    }
  })
})
