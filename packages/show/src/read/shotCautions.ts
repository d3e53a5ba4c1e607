import { type Chart, decodeRgb, type Encoding, type Warning } from '@isochip/core'
import { checkShot, type SampledArea } from '@isochip/frames'

/**
 * What the patches say of how the chart was shot, where that is not good enough. Clipping is left to the match, which
 * names the patches that it leaves out for it.
 */
export function shotCautions(areas: readonly SampledArea[], chart: Chart, encoding: Encoding): Warning[] {
  return checkShot({ areas, chart, decode: (rgb) => decodeRgb(encoding, rgb) })
    .filter(({ name, passed }) => !passed && name !== 'clipping')
    .map(({ name, message, advice }) => ({ code: `shot-${name}`, message: `${message}: ${advice}` }))
}
