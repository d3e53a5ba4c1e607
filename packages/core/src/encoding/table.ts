import { IsochipError } from '../errors.ts'
import type { transferTable } from '../shape/encoding.ts'
import type { Shape } from '../shape/shape.ts'
import type { Channel, Transfer } from './transfer.ts'

/**
 * A linearising curve by its samples, per channel: `light[channel][i]` is the linear light at code value
 * `code[i]`. Straight lines between the samples, and on past both ends.
 */
export interface TransferTable extends Shape<typeof transferTable> {}

/** @throws IsochipError `encoding-unknown` when the samples do not rise, are not finite, or are of unequal number. */
export function table(samples: TransferTable): Transfer {
  const { code, light } = samples
  checkRising('code values', code)
  for (const [channel, values] of light.entries()) {
    const name = `${['red', 'green', 'blue'][channel]} light values`
    if (values.length !== code.length) {
      throw new IsochipError(
        'encoding-unknown',
        `${values.length} ${name}, expected ${code.length}: one per code value`,
      )
    }
    checkRising(name, values)
  }
  return {
    decode: (value, channel: Channel) => interpolate(code, light[channel], value),
    encode: (value, channel: Channel) => interpolate(light[channel], code, value),
  }
}

function checkRising(name: string, values: readonly number[]): void {
  if (values.length < 2)
    throw new IsochipError('encoding-unknown', `${values.length} ${name}, expected two or more`)
  for (let i = 0; i < values.length; i++) {
    if (!Number.isFinite(values[i]) || (i > 0 && !(values[i]! > values[i - 1]!))) {
      throw new IsochipError(
        'encoding-unknown',
        `${name} must be finite and rise strictly; number ${i + 1} is ${values[i]}${i > 0 ? ` after ${values[i - 1]}` : ''}`,
        { hint: 'a curve with a flat piece cannot be inverted: cut it where it clips' },
      )
    }
  }
}

function interpolate(xs: readonly number[], ys: readonly number[], x: number): number {
  let low = 0
  let high = xs.length - 1
  while (high - low > 1) {
    const middle = (low + high) >> 1
    if (xs[middle]! <= x) low = middle
    else high = middle
  }
  const t = (x - xs[low]!) / (xs[high]! - xs[low]!)
  return ys[low]! + t * (ys[high]! - ys[low]!)
}
