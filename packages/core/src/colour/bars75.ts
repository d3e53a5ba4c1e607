import type { Vec3 } from '../linear/mat3.ts'

export type BarName = 'red' | 'yellow' | 'green' | 'cyan' | 'blue' | 'magenta'

/** The six colours of 75 % colour bars (100/0/75/0, ITU-R BT.471) as R′G′B′, round the vectorscope. */
export const bars75: readonly { readonly name: BarName; readonly code: Vec3 }[] = [
  { name: 'red', code: [0.75, 0, 0] },
  { name: 'yellow', code: [0.75, 0.75, 0] },
  { name: 'green', code: [0, 0.75, 0] },
  { name: 'cyan', code: [0, 0.75, 0.75] },
  { name: 'blue', code: [0, 0, 0.75] },
  { name: 'magenta', code: [0.75, 0, 0.75] },
]
