import { builtinCharts, decodeRgb, encodeRgb, isGrid, resolveEncoding, type Vec3 } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { referenceColours } from '../src/find/place/referenceColours.ts'
import { checkShot, type Quad, type ShotCheck, sampleChart } from '../src/index.ts'
import { drawScene } from './support/scene.ts'

const encoding = resolveEncoding('bt709')
const corners: Quad = [
  [60, 50],
  [580, 60],
  [570, 420],
  [66, 410],
]

function shoot(
  chart: (typeof builtinCharts)[number],
  light: (rgb: Vec3, x: number, y: number) => Vec3,
  noise = 0.004,
) {
  const colours = referenceColours(chart)!
  const frame = drawScene({
    width: 640,
    height: 480,
    corners,
    chart,
    noise,
    // One patch lies outside these primaries; a camera's own are wider, so its red does not fall to 0.
    level: (index) => colours[index]!.map((level) => Math.max(0.01, level)) as unknown as Vec3,
    shade: (rgb, x, y) => encodeRgb(encoding, light(rgb, x, y)),
  })
  const { areas } = sampleChart({ frames: [frame], chart, corners, range: 'full' })
  const checks = checkShot({ areas, chart, decode: (rgb) => decodeRgb(encoding, rgb) })
  return (name: ShotCheck['name']) => checks.find((check) => check.name === name)!
}

const scaled = (rgb: Vec3, by: number): Vec3 => [rgb[0] * by, rgb[1] * by, rgb[2] * by]

const grids = builtinCharts.filter(isGrid)

describe.each(grids.map((chart) => [chart.id, chart] as const))('checkShot with %s', (_, chart) => {
  it('passes a chart that was shot well', () => {
    const named = shoot(chart, (rgb) => rgb)
    for (const name of ['evenness', 'glare', 'flare', 'clipping', 'size', 'noise'] as const)
      expect(named(name)).toMatchObject({ passed: true, advice: '' })
  })

  it('measures uneven light in stops', () => {
    // Half a stop over the 640 pixels of the frame; centres of the outer patches lie 430 to 460 pixels apart.
    const check = shoot(chart, (rgb, x) => scaled(rgb, 2 ** (0.5 * (x / 640 - 0.5))))('evenness')
    expect(check.passed).toBe(false)
    expect(check.value).toBeGreaterThan(0.3)
    expect(check.value).toBeLessThan(0.42)
    expect(check.message).toContain('right of the frame')
    expect(check.advice).toContain('lamp')
  })

  it('measures a veil over the blacks', () => {
    const check = shoot(chart, (rgb) => [rgb[0] + 0.02, rgb[1] + 0.02, rgb[2] + 0.02])('flare')
    expect(check.passed).toBe(false)
    expect(check.value).toBeCloseTo(0.02, 2)
  })

  it('names the patches that glare', () => {
    const check = shoot(chart, (rgb, x, y) => {
      const shine = 0.25 * Math.exp(-(((x - 80) / 40) ** 2) - ((y - 70) / 40) ** 2)
      return [rgb[0] + shine, rgb[1] + shine, rgb[2] + shine]
    })('glare')
    expect(check.passed).toBe(false)
    expect(check.patches).toContain(chart.patches[0]!.name)
    expect(check.patches.length).toBeLessThan(8)
  })

  it('names the patches that clip', () => {
    const check = shoot(chart, (rgb) => scaled(rgb, 1.6))('clipping')
    expect(check.passed).toBe(false)
    const white = chart.patches.find((patch) => patch.role === 'white')!
    expect(check.patches).toContain(white.name)
  })

  it('names the channels that clip, and the end at which they do', () => {
    // Red light five times as strong: red clips at the top, the others nowhere.
    const check = shoot(chart, ([r, g, b]) => [5 * r, 0.5 * g, 0.5 * b])('clipping')
    expect(check.message).toContain('patches clip (red at the top)')
  })

  it('tells the size of what was sampled, and of which patch', () => {
    expect(shoot(chart, (rgb) => rgb)('size').message).toMatch(
      /\d+ pixels: \d+ × \d+ in the middle of patch "/,
    )
  })

  it('says when noise is too strong for the size of the patches', () => {
    expect(shoot(chart, (rgb) => rgb, 0.15)('noise').passed).toBe(false)
  })
})
