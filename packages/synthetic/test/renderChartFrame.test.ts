import { builtinChart, decodeRgb, resolveEncoding } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { type ChartFrame, type ChartFrameOptions, renderChartFrame } from '../src/index.ts'

const chart = builtinChart('chart24')
const plain: ChartFrameOptions = {
  chart,
  width: 320,
  height: 240,
  place: { centre: [0.5, 0.5], size: 0.7, rotation: 12, tilt: 20, pan: -15 },
  camera: { sensor: 'sensor3', encoding: 'bt709', exposure: -0.3 },
  light: 'D65',
}

/** Code value at a point, bilinear between the four pixels around it. */
const codeAt = ({ frame }: ChartFrame, [x, y]: readonly [number, number], channel: number) => {
  const left = Math.floor(x - 0.5)
  const top = Math.floor(y - 0.5)
  const pixel = (px: number, py: number) => frame.data[(py * frame.width + px) * 3 + channel]!
  const row = (py: number) => pixel(left, py) + (x - 0.5 - left) * (pixel(left + 1, py) - pixel(left, py))
  return row(top) + (y - 0.5 - top) * (row(top + 1) - row(top))
}

describe('renderChartFrame', () => {
  it('gives the same bytes for the same options', () => {
    const noisy = { ...plain, camera: { ...plain.camera, noise: { shot: 1e-4, read: 1e-3 } } }
    const bytes = (options: ChartFrameOptions) => Buffer.from(renderChartFrame(options).frame.data.buffer)
    expect(bytes(noisy).equals(bytes(noisy))).toBe(true)
    expect(bytes({ ...noisy, seed: 2 }).equals(bytes(noisy))).toBe(false)
  })

  it('has the code values of its truth at the patch centres, whatever stands between lens and file', () => {
    const hard: ChartFrameOptions = {
      ...plain,
      distortion: -0.06,
      unevenness: { stops: 0.5, direction: 30 },
      glare: { at: [0.3, 0.3], radius: 0.3, level: 0.05 },
      background: 0.4,
      camera: {
        ...plain.camera,
        vignette: 0.2,
        flare: 0.03,
        balance: [1.1, 1, 0.9],
        black: [0.002, 0.001, -0.001],
        colour: [
          [1.1, -0.06, -0.04],
          [-0.02, 1.03, -0.01],
          [0, -0.08, 1.08],
        ],
      },
    }
    const rendered = renderChartFrame(hard)
    for (const { patch, centre, code } of rendered.truth.patches) {
      // The glare is curved between pixels: 3 of 65535 codes.
      code.forEach((value, c) => {
        const held = Math.min(Math.max(value, 0), 1)
        expect(Math.abs(codeAt(rendered, centre, c) - held * 65535), patch).toBeLessThan(3)
      })
    }
    const even = renderChartFrame(plain)
    for (const { patch, centre, code } of even.truth.patches) {
      code.forEach((value, c) => {
        const held = Math.min(Math.max(value, 0), 1)
        expect(Math.abs(codeAt(even, centre, c) - held * 65535), patch).toBeLessThan(0.6)
      })
    }
  })

  it('puts the corners where a pinhole and the lens put them: edges cover pixels by area', () => {
    const corners = [
      [40.3, 30.6],
      [280.3, 30.6],
      [280.3, 200.1],
      [40.3, 200.1],
    ] as const
    const { frame, truth } = renderChartFrame({
      ...plain,
      place: { corners },
      camera: { sensor: 'sensor3', encoding: 'linear' },
      board: 0,
    })
    truth.corners.flat().forEach((value, i) => {
      expect(value).toBeCloseTo(corners.flat()[i]!, 9)
    })
    // Down the first column of patches: light summed over an edge, against the patch's own, is where the edge lies.
    const white = truth.patches[18]!
    const x = Math.floor(white.centre[0])
    const middle = Math.floor(white.centre[1])
    let sum = 0
    for (let y = middle; y < 209; y++) sum += frame.data[(y * frame.width + x) * 3 + 1]! / 65535
    expect(middle + sum / white.light[1]).toBeCloseTo(200.1, 2)
    const y = Math.floor(truth.patches[0]!.centre[1])
    const first = Math.floor(truth.patches[0]!.centre[0])
    let across = 0
    for (let left = first; left > 30; left--) across += frame.data[(y * frame.width + left) * 3]! / 65535
    expect(first + 1 - across / truth.patches[0]!.light[0]).toBeCloseTo(40.3, 2)
  })

  // ITU-R BT.709-6, item 4.6: black is 16, nominal peak 235 in 8 bits, and the OETF takes 1 to 1.
  it('narrow range: a perfect diffuser is code 235 in 8 bits, no light 16', () => {
    const at = (background: number) =>
      renderChartFrame({
        ...plain,
        place: { centre: [0.5, 0.5], size: 0.1 },
        background,
        camera: {
          sensor: 'sensor1',
          encoding: { transfer: 'bt709', primaries: 'bt709', range: 'narrow' },
          bits: 8,
        },
      }).frame.data.slice(0, 3)
    expect([...at(1)]).toEqual([235, 235, 235])
    expect([...at(0)]).toEqual([16, 16, 16])
  })

  it('a stop is a factor of two in light', () => {
    const encoding = resolveEncoding('bt709')
    const grey = (exposure: number) => {
      const { truth } = renderChartFrame({ ...plain, camera: { ...plain.camera, exposure } })
      return decodeRgb(encoding, truth.patches[21]!.code)
    }
    grey(1).forEach((light, c) => {
      expect(light / grey(0)[c]!).toBeCloseTo(2, 10)
    })
  })

  // Common practice, no source: flare lifts blacks and leaves whites nearly alone.
  it('flare lifts the black patch more than the white, relatively', () => {
    const lights = (flare: number) =>
      renderChartFrame({ ...plain, camera: { ...plain.camera, flare } }).truth.patches.map((p) => p.light[1])
    const [clean, flared] = [lights(0), lights(0.05)]
    expect(flared[23]! / clean[23]!).toBeGreaterThan(1.15)
    expect(flared[18]! / clean[18]!).toBeLessThan(1.02)
  })

  it('says which patches clip and which lie in glare', () => {
    const { truth } = renderChartFrame({
      ...plain,
      camera: { ...plain.camera, exposure: 0.5 },
      glare: { at: [1 / 12, 1 / 8], radius: 0.1, level: 0.3 },
    })
    const named = (key: 'clipped' | 'glare') => truth.patches.filter((p) => p[key]).map((p) => p.patch)
    expect(named('clipped')).toContain('white 9.5')
    expect(named('clipped')).not.toContain('neutral 6.5')
    expect(named('glare')).toContain('dark skin')
    expect(named('glare')).not.toContain('bluish green')
  })

  it('patches can touch: the chart then has the geometry to match', () => {
    const { truth } = renderChartFrame({ ...plain, gaps: false })
    expect(truth.chart.geometry!.patch).toEqual(truth.chart.geometry!.pitch)
    // The shape of a patch stays what it was.
    const shape = (g: typeof chart.geometry) => (g.patch[0] * g.aspect) / g.patch[1]
    expect(shape(truth.chart.geometry!)).toBeCloseTo(shape(chart.geometry), 12)
  })
})
