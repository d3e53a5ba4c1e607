import type { Channel } from '@isochip/core'
import type { Frame } from '../frame/frame.ts'

/** Light of the sample values of a frame. */
export interface SampleLight {
  /** Of any value, between two codes as well. */
  at(value: number, channel: Channel): number
  /** Of the values that samples have, worked out once each: red, green, blue. */
  readonly of: readonly [LightOf, LightOf, LightOf]
}

type LightOf = (value: number) => number

export function lightTables(
  { data }: Pick<Frame, 'data'>,
  at: (value: number, channel: Channel) => number,
): SampleLight {
  const of = (channel: Channel): LightOf => {
    if (data instanceof Float32Array) return (value) => at(value, channel)
    const codes = data instanceof Uint8Array ? 256 : 65536
    const table = new Float64Array(codes).fill(Number.NaN)
    return (value) => {
      const known = table[value]!
      if (!Number.isNaN(known)) return known
      const light = at(value, channel)
      table[value] = light
      return light
    }
  }
  return { at, of: [of(0), of(1), of(2)] }
}
