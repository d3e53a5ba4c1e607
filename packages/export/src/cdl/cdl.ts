import type { Vec3 } from '@isochip/core'
import { processListTransform } from '../clf/evaluate.ts'
import type { CdlNode } from '../clf/processList.ts'

/** The ASC Color Decision List: (x · slope + offset)^power in each channel, then saturation about the luma of BT.709. */
export interface Cdl {
  readonly slope: Vec3
  readonly offset: Vec3
  readonly power: Vec3
  readonly saturation: number
}

/** A decision list as a function of code values. `clamp` cuts to 0…1 before the power and at the end, as the ASC has it. */
export function cdlTransform(cdl: Cdl, clamp = true): (code: Vec3) => Vec3 {
  const node: CdlNode = { type: 'ASC_CDL', style: clamp ? 'Fwd' : 'FwdNoClamp', ...cdl }
  return processListTransform({ id: 'cdl', nodes: [node] })
}
