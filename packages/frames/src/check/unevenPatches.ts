import { orderStatistic } from '../sample/orderStatistic.ts'
import type { ChannelStructure } from './patchStructure.ts'

/** How uneven a patch is beside the others of its chart, of its worst channel. */
export interface Unevenness {
  /** Scatter of its parts over that of noise, and over what is usual of that on this chart. */
  readonly scatter: number
  /** The scatter over the range from black to white. */
  readonly rough: number
  /** The scatter over what is usual of it on this chart: a texture is its own noise. */
  readonly texture: number
  /** Change of its level from one side to the other over that range, without the fall of light over the chart. */
  readonly slope: number
  /** The same over what noise makes of it, and over what is usual of that. */
  readonly steep: number
}

/** Noise of a tile is not believed below this, as a nominal fraction: codes of 8 bits, and what cameras smooth. */
const leastNoise = 0.0015
/** Usual figures are not believed below these, which is about what noise alone gives. */
const leastUsual = { scatter: 0.9, steep: 0.7, rough: 0.001 }
/** Error of a plane's change over eight tiles, over that of a tile: √(8² · 12 / (8² · (8² − 1))). */
const slopeError = 0.436
/** Light falls by shares of it, and codes by shares of the code and about this. */
const foot = 0.1

/**
 * What is uneven within each patch. A patch is held against its own noise, since the noise of cameras depends on the level, and
 * against the chart, since noise hangs together from pixel to pixel; its slope against that of all, which is the light's.
 */
export function unevenPatches(
  structures: readonly (readonly ChannelStructure[])[],
  codeRange: number,
): readonly Unevenness[] {
  const fall = [0, 1, 2].map((c) => ({
    across: median(structures.map((one) => one[c]!.across / (Math.abs(one[c]!.level) + foot))),
    down: median(structures.map((one) => one[c]!.down / (Math.abs(one[c]!.level) + foot))),
  }))
  const own = structures.map((channels) => {
    let [scatter, rough, slope, steep] = [0, 0, 0, 0]
    for (const [c, channel] of channels.entries()) {
      const noise = Math.max(channel.noise, leastNoise)
      const level = Math.abs(channel.level) + foot
      const change = Math.max(
        Math.abs(channel.across - fall[c]!.across * level),
        Math.abs(channel.down - fall[c]!.down * level),
      )
      scatter = Math.max(scatter, channel.rough / noise)
      rough = Math.max(rough, channel.rough / codeRange)
      slope = Math.max(slope, change / codeRange)
      steep = Math.max(steep, change / noise / slopeError)
    }
    return { scatter, rough, slope, steep }
  })
  const usual = {
    scatter: Math.max(median(own.map(({ scatter }) => scatter)), leastUsual.scatter),
    steep: Math.max(median(own.map(({ steep }) => steep)), leastUsual.steep),
  }
  const rough = Math.max(median(own.map((one) => one.rough)), leastUsual.rough / codeRange)
  return own.map((one) => ({
    ...one,
    texture: one.rough / rough,
    scatter: one.scatter / usual.scatter,
    steep: one.steep / usual.steep,
  }))
}

const median = (values: readonly number[]) => orderStatistic(Float64Array.from(values), values.length >> 1)
