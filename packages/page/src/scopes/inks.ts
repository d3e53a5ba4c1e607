import type { Ink } from './paint.ts'

/** The traces. What the target camera leaves lies behind, in a colour that no camera's own trace has. */
export const inks = {
  own: [235, 235, 235],
  red: [255, 106, 92],
  green: [98, 208, 110],
  blue: [123, 157, 255],
  target: [196, 140, 20],
  below: [70, 120, 255],
  above: [255, 150, 40],
} as const satisfies Record<string, Ink>
