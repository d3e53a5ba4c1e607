import { builtinChart, builtinCharts, type Chart, type GridChart } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { chartToJson, createFrame, findChart, parseChart, sampleChart } from '../src/index.ts'
import { cornerTolerance } from './support/finderScenes.ts'
import { cornerError, easyScene, type FindScene, renderFindScene } from './support/findScene.ts'

const chart24 = builtinChart('chart24')
const quay48 = builtinChart('quay48')

const base = (chart: GridChart): FindScene => ({ ...easyScene(chart), width: 400, height: 225, blur: 0.5 })

/** Grey of our own, in a single row: a user's chart file. */
const ladder: GridChart = {
  id: 'ladder',
  title: 'eleven greys',
  rows: 1,
  columns: 11,
  patches: Array.from({ length: 11 }, (_, i) => ({ name: `step ${i}`, value: [20 + 7.5 * i, 0, 0] })),
  reference: { space: 'Lab', illuminant: 'D50', observer: 2 },
  geometry: { pitch: [1 / 11, 1], patch: [1 / 11, 1], aspect: 11 / 1.2 },
}

/** A small chart of a user's: 3 × 4, touching patches. */
const dozen: GridChart = {
  id: 'dozen',
  title: 'twelve colours',
  rows: 3,
  columns: 4,
  patches: [
    [40, 55, 35],
    [60, -45, 40],
    [30, 20, -55],
    [80, 5, 75],
    [50, 60, -15],
    [55, -30, -30],
    [95, 0, 0],
    [75, 20, 25],
    [20, 0, 0],
    [65, 15, -30],
    [45, -5, 30],
    [60, 0, 0],
  ].map(([L, a, b], i) => ({ name: `colour ${i}`, value: [L!, a!, b!] })),
  reference: { space: 'Lab', illuminant: 'D50', observer: 2 },
  geometry: { pitch: [0.25, 1 / 3], patch: [0.25, 1 / 3], aspect: 4 / 3 },
}

const found = (scene: FindScene, charts: readonly Chart[] = builtinCharts) => {
  const picture = renderFindScene(scene)
  const result = findChart(picture.frame, charts)
  return { result, error: cornerError(result.corners, picture, scene.chart), picture }
}

describe('findChart', () => {
  it.each([
    ['a row of greys', ladder, { size: 0.6 }],
    ['a row of greys, turned', ladder, { size: 0.5, turn: 215 }],
    ['twelve touching colours', dozen, { turn: 75, size: 0.3, stops: -1 }],
  ] as const)('finds a chart from a file: %s', (_, chart, change) => {
    const own = parseChart(chartToJson(chart), 'own.json')
    const { result, error } = found({ ...base(chart), ...change }, [...builtinCharts, own])
    expect(result.chart.id).toBe(chart.id)
    expect(error).toBeLessThan(cornerTolerance)
  })

  // Patches of 4.6 pixels.
  it.each([
    [1, 'clutter'],
    [2, 'plain'],
  ] as const)(
    'finds a chart with patches of few pixels in a small picture: scene %i, %s',
    (start, backdrop) => {
      const { error } = found({ ...base(chart24), size: 0.08, turn: 30 * start, start, backdrop })
      expect(error).toBeLessThan(0.2)
    },
  )

  it('refuses such a chart in a mirror', () => {
    expect(() => found({ ...base(chart24), size: 0.08, mirrored: true })).toThrow('was not found')
  })

  it('measures the lens, so that patches at the frame’s edge are sampled in their middle', () => {
    const { result, picture } = found({ ...base(chart24), size: 0.74, at: [0.5, 0.281], distortion: 0.04 })
    expect(result.distortion).toBeCloseTo(0.04, 2)
    const { areas } = sampleChart({
      frames: [picture.frame],
      chart: chart24,
      corners: result.corners,
      map: result.map,
      range: 'full',
      share: 0.85,
    })
    for (const area of areas) expect(area.rejected).toBeLessThan(0.06)
  })

  it('refuses a chart that the frame cuts, and says so', () => {
    const { frame } = renderFindScene({ ...base(quay48), size: 0.5, at: [0.235, 0.28] })
    expect(() => findChart(frame, builtinCharts)).toThrowError(/quay48 reaches out of the frame/)
  })

  it('does not take a chart for itself moved by a column, when the frame cuts off its first', () => {
    for (const x of [0.2, 0.225]) {
      const { frame } = renderFindScene({ ...base(quay48), size: 0.5, at: [x, 0.28] })
      expect(() => findChart(frame, builtinCharts)).toThrowError(/not found for sure/)
    }
  })

  it('takes the largest of several charts and reports the rest', () => {
    const large = renderFindScene({ ...base(chart24), size: 0.45, at: [0.28, 0.28] })
    const small = renderFindScene({ ...base(quay48), size: 0.25, at: [0.8, 0.28], turn: 30 })
    const data = large.frame.data.slice()
    for (let y = 0; y < 225; y++)
      for (let x = 240; x < 400; x++)
        for (let c = 0; c < 3; c++) data[3 * (y * 400 + x) + c] = small.frame.data[3 * (y * 400 + x) + c]!
    const result = findChart(createFrame(400, 225, data), builtinCharts)
    expect(result.chart.id).toBe('chart24')
    expect(result.others.map((other) => other.chart.id)).toEqual(['quay48'])
    expect(cornerError(result.others[0]!.corners, small, quay48)).toBeLessThan(cornerTolerance)
  })

  it('does not take one chart for another', () => {
    expect(() => found(base(chart24), [quay48])).toThrow(expect.objectContaining({ code: 'chart-not-found' }))
    expect(() => found(base(quay48), [chart24])).toThrow(expect.objectContaining({ code: 'chart-not-found' }))
  })

  it('does not take a chart with shuffled patches for the chart', () => {
    const patches = chart24.patches.map((_, i) => chart24.patches[(i * 7 + 3) % 24]!)
    expect(() => found(base({ ...chart24, patches }), [chart24])).toThrow(
      expect.objectContaining({ code: 'chart-not-found' }),
    )
  })

  it('needs reference values, and says so', () => {
    const { reference: _, ...rest } = chart24
    const bare: Chart = { ...rest, patches: chart24.patches.map(({ name }) => ({ name })) }
    expect(() => findChart(renderFindScene(base(chart24)).frame, [bare])).toThrow(/no reference values/)
  })

  it.each([1, 4, 17])('answers on a frame of %i × 3 pixels', (width) => {
    const frame = createFrame(width, 3, new Uint8Array(9 * width).fill(90))
    expect(() => findChart(frame, builtinCharts)).toThrow(
      expect.objectContaining({ code: 'chart-not-found' }),
    )
  })
})
