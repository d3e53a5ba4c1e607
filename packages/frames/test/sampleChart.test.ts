import {
  builtinChart,
  builtinCharts,
  fractionFromNominal,
  IsochipError,
  resolveTransfer,
  type TransferSpec,
  type Vec3,
} from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { convertFrame, createFrame, type Quad, sampleChart } from '../src/index.ts'
import { drawScene, normalNumbers, slantedCorners } from './support/scene.ts'

const chart = builtinChart('chart24')
const corners = slantedCorners
const level = (index: number): Vec3 => [0.1 + index / 40, 0.75 - index / 45, 0.2 + ((index * 7) % 24) / 40]
/** A 16-bit code is 1.5e-5; rounding moves a flat patch by half of it. */
const halfCode = 0.5 / 65535 + 1e-9

const scene = { width: 400, height: 300, corners, chart, level }

describe('sampleChart', () => {
  it.each(builtinCharts.map((one) => [one.id, one] as const))(
    'reads every patch of %s where it lies',
    (_, one) => {
      const flat = (index: number): Vec3 => [0.05 + index / 60, 0.9 - index / 70, 0.5]
      const sample = sampleChart({
        frames: [drawScene({ ...scene, chart: one, level: flat })],
        chart: one,
        corners,
        range: 'full',
      })
      expect(sample.readings.patches.map((reading) => reading.patch)).toEqual(
        one.patches.map((patch) => patch.name),
      )
      sample.readings.patches.forEach((reading, index) => {
        flat(index).forEach((want, c) => {
          expect(Math.abs(reading.rgb[c]! - want)).toBeLessThan(halfCode)
        })
      })
      expect(sample.warnings).toEqual([])
    },
  )

  it.each([0, 1, 2, 3])('follows the corners when the chart is turned %i times', (turns) => {
    const turned = [...corners.slice(turns), ...corners.slice(0, turns)] as unknown as Quad
    const frame = drawScene({ ...scene, corners: turned })
    const { areas } = sampleChart({ frames: [frame], chart, corners: turned, range: 'full' })
    areas.forEach((area, index) => {
      expect(Math.abs(area.rgb[0] - level(index)[0])).toBeLessThan(halfCode)
    })
  })

  it.each([8, 16] as const)('takes the narrow range out of %i bits', (bits) => {
    const narrow = (index: number): Vec3 =>
      level(index).map((v) => fractionFromNominal(v, 'narrow', bits)) as unknown as Vec3
    const frame = drawScene({ ...scene, bits, level: narrow })
    const { areas } = sampleChart({ frames: [frame], chart, corners, range: 'narrow' })
    areas.forEach((area, index) => {
      expect(Math.abs(area.rgb[1] - level(index)[1])).toBeLessThan(0.5 / (219 * 2 ** (bits - 8)) + 1e-9)
    })
  })

  it('leaves float levels as they are', () => {
    const data = Float32Array.from(drawScene(scene).data, (code) => (code / 65535) * 4 - 0.2)
    const { areas } = sampleChart({ frames: [createFrame(400, 300, data)], chart, corners, range: 'full' })
    expect(areas[0]!.rgb[0]).toBeCloseTo(level(0)[0] * 4 - 0.2, 4)
    expect(areas.every((area) => area.clipped === 0)).toBe(true)
  })

  it('takes the narrow range out of floats that hold codes, and not out of a clip that the decoder took it out of', () => {
    // Black and white of ten bits, ITU-R BT.709-6, item 3.4: 64 and 940 of 1023.
    const codes = Float32Array.from(drawScene(scene).data, (code) => (64 + (876 * code) / 65535) / 1023)
    const file = createFrame(400, 300, codes)
    const read = (frame: typeof file) =>
      sampleChart({ frames: [frame], chart, corners, range: 'narrow' }).areas[0]!.rgb[0]
    expect(read(file)).toBeCloseTo(level(0)[0], 4)
    const clip = { ...file, clip: { low: -0.07, high: 1.08 } }
    expect(read(clip)).toBeCloseTo((64 + 876 * level(0)[0]) / 1023, 4)
  })

  it('gives the code value of the mean light where the curve is known: noise does not darken a log recording', () => {
    const transfer = 'acescct'
    const { encode } = resolveTransfer(transfer)
    const shadow = 0.02
    const normal = normalNumbers(7)
    // Noise of the sensor: of light, before the curve.
    const frame = drawScene({
      ...scene,
      level: () => [0, 0, 0],
      shade: () => [0, 1, 2].map(() => encode(shadow + 0.006 * normal(), 0)) as unknown as Vec3,
    })
    const common = { frames: [frame], chart, corners, range: 'full' } as const
    const codes = sampleChart(common).areas
    const light = sampleChart({ ...common, transfer }).areas
    const mean = (areas: typeof codes) =>
      areas.reduce((sum, { rgb }) => sum + rgb[0] + rgb[1] + rgb[2], 0) / (3 * areas.length)
    // Jensen's inequality: the mean of a concave function lies below the function of the mean, here by some
    // sd² / (2 · light² · ln 2 · 17.52) code values (S-2016-001: 17.52 stops).
    const expected = 0.006 ** 2 / (2 * shadow ** 2 * Math.LN2 * 17.52)
    // The lowest pixels are taken for dirt, so that about half of it is left.
    expect(encode(shadow, 0) - mean(codes)).toBeGreaterThan(0.4 * expected)
    expect(Math.abs(mean(light) - encode(shadow, 0))).toBeLessThan(0.1 * expected)
    for (const { rgb, standardError, pixels } of light)
      rgb.forEach((value, c) => {
        expect(Math.abs(value - encode(shadow, 0))).toBeLessThan(5 * standardError[c]!)
        // That of independent pixels through the slope of the curve, 1 / (light · ln 2 · 17.52); twice, for the scatter of
        // a figure from few blocks.
        const independent = 0.006 / Math.sqrt(pixels) / (shadow * Math.LN2 * 17.52)
        expect(standardError[c]! / independent).toBeLessThan(2.5)
        expect(standardError[c]! / independent).toBeGreaterThan(0.4)
      })
  })

  it('leaves levels without noise as they are when it knows the curve', () => {
    const frame = drawScene(scene)
    const transfer = 'bt709'
    const { areas } = sampleChart({ frames: [frame], chart, corners, range: 'full', transfer })
    areas.forEach((area, index) => {
      expect(Math.abs(area.rgb[1] - level(index)[1])).toBeLessThan(halfCode)
    })
  })

  it('takes the light of each channel by its own curve where they have one each', () => {
    const code = [0, 0.3, 0.6, 1]
    const light = [
      [0, 0.1, 0.4, 1],
      [0, 0.5, 0.6, 1],
      [0, 0.02, 0.9, 1],
    ] as const
    const transfer: TransferSpec = { table: { code, light } }
    const { areas } = sampleChart({ frames: [drawScene(scene)], chart, corners, range: 'full', transfer })
    areas.forEach((area, index) => {
      for (const [c, want] of level(index).entries())
        expect(Math.abs(area.rgb[c]! - want)).toBeLessThan(halfCode)
    })
  })

  it('averages frames: less error, the same scatter of a pixel, all pixels counted', () => {
    const frames = [1, 2, 3, 4].map((start) => drawScene({ ...scene, noise: 0.01, start }))
    const one = sampleChart({ frames: frames.slice(0, 1), chart, corners, range: 'full' }).areas[3]!
    const four = sampleChart({ frames, chart, corners, range: 'full' }).areas[3]!
    expect(four.pixels).toBeGreaterThan(3.9 * one.pixels)
    expect(four.sd[0]).toBeGreaterThan(0.009)
    expect(four.sd[0]).toBeLessThan(0.011)
    expect(four.standardError[0]).toBeLessThan(0.7 * one.standardError[0])
    expect(Math.abs(four.rgb[0] - level(3)[0])).toBeLessThan(4 * four.standardError[0])
  })

  it('tells that the light changed between two frames', () => {
    const dimmed = drawScene({
      ...scene,
      level: (index) => level(index).map((v) => 0.9 * v) as unknown as Vec3,
    })
    const { warnings } = sampleChart({ frames: [drawScene(scene), dimmed], chart, corners, range: 'full' })
    expect(warnings).toMatchObject([
      { code: 'frames-differ', message: expect.stringContaining('of 24 patches') },
    ])
  })

  it('states the clipped share of a patch', () => {
    const bright = (index: number): Vec3 => (index === 18 ? [1, 0.98, 0.97] : level(index))
    const { readings } = sampleChart({
      frames: [drawScene({ ...scene, level: bright })],
      chart,
      corners,
      range: 'full',
    })
    expect(readings.patches[18]!.clipped).toBe(1)
    expect(readings.patches.filter((_, i) => i !== 18).every((one) => one.clipped === 0)).toBe(true)
  })

  it.each([
    ['8-bit code 254, 109 % of 8-bit video', 254 / 255, 8],
    ['10-bit code 1019 shifted into 16 bits', (1019 * 64) / 65535, 16],
  ] as const)('knows the narrow range’s own limit: %s', (_, top, bits) => {
    // Codes reserved for timing: ITU-R BT.709-6, item 4.6.
    const bright = (index: number): Vec3 => (index === 0 ? [top, top, top] : level(index))
    const { areas } = sampleChart({
      frames: [drawScene({ ...scene, bits, level: bright })],
      chart,
      corners,
      range: 'narrow',
    })
    expect(areas[0]!.clipped).toBe(1)
    expect(areas[1]!.clipped).toBe(0)
  })

  it('warns of a patch that corners cut in two', () => {
    const slid = corners.map(([x, y]) => [x + 17, y + 6]) as unknown as Quad
    const { warnings } = sampleChart({
      frames: [drawScene(scene)],
      chart,
      corners: slid,
      range: 'full',
      share: 0.7,
    })
    expect(warnings.filter((warning) => warning.code === 'patch-soiled').length).toBeGreaterThan(12)
  })

  it('refuses frames of different sizes or depths, naming the file', () => {
    const frame = drawScene(scene)
    const other = createFrame(8, 6, new Uint16Array(144), 16, 'b.png')
    const request = { chart, corners, range: 'full' as const }
    expect(() => sampleChart({ ...request, frames: [frame, other] })).toThrow(
      expect.objectContaining({ code: 'frame-size', place: { file: 'b.png' } }),
    )
    expect(() => sampleChart({ ...request, frames: [frame, convertFrame(frame, 8)] })).toThrow(
      /16 bits|8 bits/,
    )
  })

  it('refuses patches too small to be measured', () => {
    const tiny: Quad = [
      [40, 30],
      [60, 30],
      [60, 44],
      [40, 44],
    ]
    expect(() => sampleChart({ frames: [drawScene(scene)], chart, corners: tiny, range: 'full' })).toThrow(
      expect.objectContaining({
        code: 'corners-invalid',
        message: expect.stringMatching(/sampled part \d of them, at least 9 are needed/),
      }),
    )
  })

  it('refuses a patch without a finite sample', () => {
    const frame = createFrame(400, 300, new Float32Array(3 * 400 * 300).fill(Number.NaN))
    expect(() => sampleChart({ frames: [frame], chart, corners, range: 'full' })).toThrow(IsochipError)
  })

  // The noise of 8-bit cameras is a fraction of a code to a few (common practice, no source).
  it.each([0.1, 0.2, 0.3, 0.4, 0.6, 1, 2])(
    'takes no pixel of a clean patch for dirt where 8-bit codes with noise of %d code went through a curve into a deeper file',
    (noise) => {
      const uneven = (rgb: Vec3, x: number, y: number): Vec3 => {
        const light = 1 - (0.03 * x) / 400 - (0.02 * y) / 300
        return [rgb[0] * light, rgb[1] * light, rgb[2] * light]
      }
      const { data } = drawScene({ ...scene, bits: 8, noise: noise / 255, shade: uneven })
      for (const power of [0.45, 0.8, 1.2, 2.2]) {
        const curve = Float64Array.from({ length: 256 }, (_, code) => (code / 255) ** power)
        const whole = new Uint16Array(data.length)
        const floats = new Float32Array(data.length)
        for (let i = 0; i < data.length; i++) {
          floats[i] = curve[data[i]!]!
          whole[i] = Math.round(65535 * curve[data[i]!]!)
        }
        for (const deeper of [whole, floats]) {
          const frame = createFrame(scene.width, scene.height, deeper)
          const { areas, warnings } = sampleChart({ frames: [frame], chart, corners, range: 'full' })
          expect(warnings).toEqual([])
          expect(Math.max(...areas.map(({ rejected }) => rejected))).toBeLessThan(0.05)
        }
      }
    },
  )

  it('still takes a mark in such a file for one', () => {
    const marked = (rgb: Vec3, x: number, y: number): Vec3 =>
      (x + y) % 5 === 0 ? [rgb[0] * 0.8, rgb[1] * 0.8, rgb[2] * 0.8] : rgb
    const { data } = drawScene({ ...scene, bits: 8, noise: 0.4 / 255, shade: marked })
    const frame = createFrame(
      400,
      300,
      Uint16Array.from(data, (code) => Math.round(65535 * (code / 255) ** 0.8)),
    )
    const { warnings } = sampleChart({ frames: [frame], chart, corners, range: 'full' })
    expect(warnings.filter(({ code }) => code === 'patch-soiled')).toHaveLength(chart.patches.length)
  })
})
