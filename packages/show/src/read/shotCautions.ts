import { type Chart, decodeRgb, type Encoding, type Warning } from '@isochip/core'
import { checkShot, type SampledArea, type ShotCheck } from '@isochip/frames'

/** What the patches say of how the chart was shot, where that is not good enough. */
export function shotCautions(areas: readonly SampledArea[], chart: Chart, encoding: Encoding): Warning[] {
  const decode = (rgb: Parameters<typeof decodeRgb>[1]) => decodeRgb(encoding, rgb)
  return cautionsOf(checkShot({ areas, chart, decode }))
}

/** Clipping is left to the match, which names the patches that it leaves out for it. */
export function cautionsOf(checks: readonly ShotCheck[]): Warning[] {
  return checks
    .filter(({ name, passed }) => !passed && name !== 'clipping')
    .map(({ name, message, advice }) => ({ code: `shot-${name}`, message: `${message}: ${advice}` }))
}
