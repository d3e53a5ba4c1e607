import type { Warning } from '@isochip/core'
import type { IntegerNodes } from '@isochip/export'

/**
 * A sixteenth of the range, in codes of 10 bits. A matrix alone sends the most saturated colours out of range, which costs some
 * twenty codes beside them; a curve that reaches far beyond the output's white or black costs hundreds.
 */
const worthSaying = 64

/**
 * A caution about a LUT that relies on numbers beyond 0…1, which software keeps and a box that stores integers cuts off at
 * the nodes: everything in the cells around is changed by it.
 */
export function beyondNodes({ worst, share }: IntegerNodes): Warning | undefined {
  if (!(worst > worthSaying)) return undefined
  const percent = 100 * share
  const often = percent < 1 ? 'less than 1' : percent.toFixed(0)
  return {
    code: 'beyond-nodes',
    message:
      `nodes go beyond 0…1: a LUT box that stores integers would be off by up to ${worst.toFixed(0)} 10-bit codes, ` +
      `by more than 4 for ${often} % of the inputs; nodes: bounded makes a LUT for such boxes, software keeps floats`,
  }
}
