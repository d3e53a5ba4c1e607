import { log2, map3, type Vec3 } from '@isochip/core'
import type { SampledArea } from '../sample/sampleChart.ts'

/** Width and height of the sampled area's box in the frame. */
export function extent({ quad }: SampledArea): readonly [number, number] {
  const side = (axis: 0 | 1) => Math.max(...quad.map((p) => p[axis])) - Math.min(...quad.map((p) => p[axis]))
  return [side(0), side(1)]
}

/** Change of the light across an area's box, in stops (the brightest channel's), and its error. */
export function areaSteps(
  area: SampledArea,
  decode: (rgb: Vec3) => Vec3,
): { readonly x: number; readonly y: number; readonly error: number } | undefined {
  if (area.clipped > 0.02) return undefined
  const light = decode(area.rgb)
  const channel = light.indexOf(Math.max(...light))
  const shifted = (by: Vec3, sign: number) =>
    decode(map3(area.rgb, (level, c) => level + (sign * by[c]) / 2))[channel]!
  const stops = (by: Vec3) => log2(shifted(by, 1) / shifted(by, -1))
  const x = stops(area.gradient.x)
  const y = stops(area.gradient.y)
  // The error of a slope over the whole box is √12 times that of the mean.
  const spread = map3(area.standardError, (error) => error * Math.sqrt(12))
  const error = stops(spread)
  return light[channel]! > 0.02 && [x, y, error].every(Number.isFinite)
    ? { x, y, error: Math.abs(error) }
    : undefined
}
