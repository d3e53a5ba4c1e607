import { builtinCharts, type ChartPatch, type ChartPoint, type RegionChart, type Vec3 } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { referenceColours } from '../src/find/place/referenceColours.ts'
import { chartToJson, type Frame, findChart, type Point, parseChart, refineChart } from '../src/index.ts'
import { drawScene } from './support/scene.ts'

/** A user's chart: wedges in an arc, triangles, a disc, bars, and a hole. */
const wedge = (k: number): ChartPoint[] => {
  const [from, to] = [(200 + 35 * k) * (Math.PI / 180), (230 + 35 * k) * (Math.PI / 180)]
  const at = (radius: number, turn: number): ChartPoint => [
    50 + radius * Math.cos(turn),
    50 + radius * Math.sin(turn),
  ]
  const arc = [0, 0.25, 0.5, 0.75, 1].map((t) => from + t * (to - from))
  return [...arc.map((turn) => at(45, turn)), ...arc.reverse().map((turn) => at(25, turn))]
}
const colours: readonly Vec3[] = [
  [40, 55, 35],
  [60, -45, 40],
  [30, 20, -55],
  [80, 5, 75],
  [95, 0, 0],
  [75, 0, 0],
  [55, 0, 0],
  [35, 0, 0],
  [50, 60, -15],
  [55, -30, -30],
  [65, 18, 20],
  [45, 15, 18],
]
const bar = (k: number): ChartPoint[] => [
  [5 + 24 * k, 58],
  [24 + 24 * k, 58],
  [24 + 24 * k, 70],
  [5 + 24 * k, 70],
]
const corner = (x: number, y: number, right: number): ChartPoint[] => [
  [x, y],
  [x + 20 * right, y],
  [x, y + 20],
]
const shapes: readonly ChartPatch['region'][] = [
  ...[0, 1, 2, 3].map((k) => ({ polygon: wedge(k) })),
  ...[0, 1, 2, 3].map((k) => ({ polygon: bar(k) })),
  { polygon: corner(4, 74, 1) },
  { polygon: corner(96, 74, -1) },
  { circle: { centre: [40, 85], radius: 9 } },
  { circle: { centre: [64, 85], radius: 11 } },
]
const fan: RegionChart = {
  id: 'fan',
  title: 'a fan',
  regions: { size: [100, 100] },
  patches: [
    ...shapes.map((region, k): ChartPatch => ({ name: `patch ${k}`, value: colours[k]!, region: region! })),
    { name: 'hole', role: 'true-black', region: { circle: { centre: [50, 45], radius: 9 } } },
  ],
  reference: { space: 'Lab', illuminant: 'D50', observer: 2 },
}

function shoot(
  corners: readonly [Point, Point, Point, Point],
  chart = fan,
  balance: Vec3 = [1, 1, 1],
): Frame {
  const seen = referenceColours(chart)!
  return drawScene({
    width: 560,
    height: 420,
    corners,
    chart,
    noise: 0.004,
    start: 3,
    board: [0.2, 0.2, 0.2],
    level: (k) => seen[k]!.map((light, c) => (0.9 * balance[c]! * light) ** 0.45) as unknown as Vec3,
  })
}

const off = (found: readonly Point[], corners: readonly Point[]) =>
  Math.max(...found.map(([x, y], k) => Math.hypot(x - corners[k]![0], y - corners[k]![1])))

const slanted = [
  [120, 60],
  [410, 80],
  [430, 350],
  [100, 330],
] as const
const turned = [
  [400, 330],
  [130, 360],
  [120, 90],
  [380, 70],
] as const

describe('findChart, of regions', () => {
  it.each([
    ['slanted', slanted, [1, 1, 1]],
    ['upside down, in warm light', turned, [1.3, 1, 0.6]],
  ] as const)('finds patches of any shape: %s', (_, corners, balance) => {
    const own = parseChart(chartToJson(fan), 'fan.json')
    const found = findChart(shoot(corners, fan, balance), [...builtinCharts, own])
    expect(found.chart.id).toBe('fan')
    // A tenth of a patch: patches are 45 pixels wide.
    expect(off(found.corners, corners)).toBeLessThan(4.5)
  })

  it('names a mirror', () => {
    const [a, b, c, d] = slanted
    expect(() => findChart(shoot([b, a, d, c]), [fan])).toThrow(/fan is in the frame as in a mirror/)
  })

  it('does not take other colours in the same places for the chart', () => {
    const others = {
      ...fan,
      patches: fan.patches.map((patch, k) => ({ ...patch, value: colours[(k + 5) % 12]! })),
    }
    const { role: _, ...hole } = others.patches[12]!
    const frame = shoot(slanted, { ...others, patches: [...others.patches.slice(0, 12), hole] })
    expect(() => findChart(frame, [fan])).toThrow(/not found/)
  })

  it('needs values to tell a chart by', () => {
    const { reference: _, ...rest } = fan
    const bare = { ...rest, patches: fan.patches.map(({ value: __, ...patch }) => patch) }
    expect(() => findChart(shoot(slanted), [bare])).toThrow(/no reference values for every patch/)
  })

  it('moves corners that were given roughly', () => {
    const rough = slanted.map(([x, y], k): Point => [x + [6, -5, 4, -6][k]!, y + [-5, 6, 5, -4][k]!])
    const refined = refineChart(shoot(slanted), fan, rough)
    expect(off(rough, slanted)).toBeGreaterThan(6)
    expect(off(refined.corners, slanted)).toBeLessThan(1.5)
    expect(refined.seen).toBeGreaterThan(9)
  })
})
