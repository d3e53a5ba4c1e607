import {
  builtinChart,
  type Chart,
  decodeRgb,
  type PatchResult,
  resolveEncoding,
  type Vec3,
} from '@isochip/core'
import { type FittedSignals, fittedSignals } from '../../src/signal/patchSignals.ts'
import { inventedMatch } from './inventedShow.ts'

const bt709 = resolveEncoding('bt709')

export interface Given {
  readonly name: string
  readonly role?: 'neutral'
  /** BT.709 R′G′B′. */
  readonly source: Vec3
  readonly matched: Vec3
  readonly target: Vec3
  readonly after?: number
  readonly before?: number
  readonly leaveOneOut?: number
  readonly excluded?: string
}

/** Patches with given BT.709 signals, brought to the pictures the way a report does: through linear light. */
export function patchesOf(given: readonly Given[]): FittedSignals[] {
  const chart: Chart = {
    ...builtinChart('quay48'),
    rows: 1,
    columns: given.length,
    patches: given.map(({ name, role }) => ({ name, ...(role && { role }) })),
  }
  const [sample] = inventedMatch({ camera: 'a', setup: 'b' }).patches
  const results = given.map((g): PatchResult => {
    const { leaveOneOut: _, ...rest } = sample!
    return {
      ...rest,
      patch: g.name,
      source: decodeRgb(bt709, g.source),
      matched: decodeRgb(bt709, g.matched),
      target: decodeRgb(bt709, g.target),
      dE00: { before: g.before ?? 5, balanced: 2, after: g.after ?? 1 },
      ...(g.leaveOneOut !== undefined && { leaveOneOut: g.leaveOneOut }),
      ...(g.excluded !== undefined && { excluded: g.excluded }),
    }
  })
  return fittedSignals(results, chart, 'bt709')
}
