import { encodeRgb, resolveEncoding, type Vec3 } from '@isochip/core'

const srgb = resolveEncoding('srgb')

/** Linear light in BT.709 primaries → `#rrggbb` for the screen (sRGB). What the screen cannot show is clipped. */
export function screenColour(light: Vec3): string {
  const hex = (value: number) =>
    Math.round(255 * Math.min(1, Math.max(0, Number.isNaN(value) ? 0 : value)))
      .toString(16)
      .padStart(2, '0')
  return `#${encodeRgb(srgb, light).map(hex).join('')}`
}
