import {
  apply3,
  builtinChart,
  builtinCharts,
  isGrid,
  isNeutral,
  labFromXyz65,
  resolvePrimaries,
  resolveTransfer,
  type Vec3,
  xyzToRgb,
} from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { faultOf } from './support/faultOf.ts'

const grids = builtinCharts.filter(isGrid)

describe.each(grids.map((chart) => [chart.id, chart] as const))('%s', (_, chart) => {
  it('has a value and a name of its own for every cell of its grid', () => {
    expect(chart.patches).toHaveLength(chart.rows * chart.columns)
    expect(new Set(chart.patches.map((patch) => patch.name)).size).toBe(chart.patches.length)
    for (const { value } of chart.patches) expect(value!.every((v) => v > 0 && v < 1)).toBe(true)
  })

  it('has a geometry that fills its grid from edge to edge', () => {
    const { pitch, patch, aspect } = chart.geometry
    expect((chart.columns - 1) * pitch[0] + patch[0]).toBeCloseTo(1, 12)
    expect((chart.rows - 1) * pitch[1] + patch[1]).toBeCloseTo(1, 12)
    expect(patch[0]).toBeLessThan(pitch[0])
    // Cells are square.
    expect((pitch[0] / pitch[1]) * aspect).toBeCloseTo(1, 12)
  })

  it('has a white, blacks and skin, and neutrals that are neutral', () => {
    const roles = new Set(chart.patches.map((patch) => patch.role))
    for (const role of ['white', 'black', 'neutral', 'skin', 'primary', 'secondary'] as const) {
      expect(roles).toContain(role)
    }
    const { space } = chart.reference!
    const xy = (value: Vec3) =>
      space === 'xyY'
        ? [value[0], value[1]]
        : value.slice(0, 2).map((v) => v / (value[0] + value[1] + value[2]))
    const white = xy(chart.patches.find((patch) => patch.role === 'white')!.value!)
    for (const patch of chart.patches.filter(isNeutral)) {
      const own = xy(patch.value!)
      // Four digits of x, y in one table, 8-bit codes in the other.
      expect(Math.hypot(own[0]! - white[0]!, own[1]! - white[1]!), patch.name).toBeLessThan(1e-4)
    }
  })
})

describe('quay48', () => {
  const chart = builtinChart('quay48')
  const lab = new Map(chart.patches.map((patch) => [patch.name, labFromXyz65(patch.value!)]))
  const chroma = (name: string) => Math.hypot(lab.get(name)![1], lab.get(name)![2])
  const hue = (name: string) => (Math.atan2(lab.get(name)![2], lab.get(name)![1]) * 180) / Math.PI

  it('has a crossed grey scale: every level twice, the second row the other way round', () => {
    const rows = [chart.patches.slice(16, 24), chart.patches.slice(24, 32)] as const
    expect(rows[1].map((patch) => patch.value)).toEqual(rows[0].map((patch) => patch.value).toReversed())
    // The names give L*; 8-bit codes are half a unit of it apart at most.
    for (const patch of rows.flat()) {
      expect(Math.abs(lab.get(patch.name)![0] - Number(patch.name.split(' ')[1]))).toBeLessThan(0.5)
    }
  })

  // Common practice, no source: equal steps between two primaries are equally spaced dots on the vectorscope.
  it('has hues in equal steps between primaries and secondaries', () => {
    const encode = resolveTransfer('srgb').encode
    const toRgb = xyzToRgb(resolvePrimaries('bt709'))
    const code = (name: string) =>
      apply3(toRgb, chart.patches.find((patch) => patch.name === name)!.value!).map((light) =>
        encode(light, 0),
      )
    for (const [from, middle, to] of [
      ['red', 'orange', 'yellow'],
      ['yellow', 'lime', 'green'],
      ['green', 'mint', 'cyan'],
      ['cyan', 'azure', 'blue'],
      ['blue', 'violet', 'magenta'],
      ['magenta', 'pink', 'red'],
    ] as const) {
      const [a, m, b] = [code(from), code(middle), code(to)]
      // Codes are whole numbers of 255.
      for (const c of [0, 1, 2]) expect(Math.abs(m[c]! - (a[c]! + b[c]!) / 2)).toBeLessThan(1.01 / 255)
    }
  })

  it.each([
    { kind: 'deep', L: 38, C: 22 },
    { kind: 'pale', L: 82, C: 17 },
  ])('has eight $kind hues 45° apart at L* $L, C* $C', ({ kind, L, C }) => {
    const names = chart.patches.map((patch) => patch.name).filter((name) => name.startsWith(kind))
    expect(names).toHaveLength(8)
    for (const [i, name] of names.entries()) {
      // 8-bit codes of the print file.
      expect(Math.abs(lab.get(name)![0] - L), name).toBeLessThan(0.6)
      expect(Math.abs(chroma(name) - C), name).toBeLessThan(1)
      const step = (hue(names[(i + 1) % 8]!) - hue(name) + 360) % 360
      expect(Math.abs(step - 45), name).toBeLessThan(3)
    }
  })
})

describe('builtinChart', () => {
  it('names the charts there are when it is asked for another', () => {
    const fault = faultOf(() => builtinChart('chart25'))
    expect(fault.code).toBe('chart-unknown')
    expect(fault.message).toContain('chart25')
    expect(fault.hint).toContain('chart24, quay48')
  })
})
