import { deltaE00, type Lab65, labOfLinear, type PrimariesSpec, resolvePrimaries } from '@isochip/core'
import type { SetupReport } from './showReport.ts'

/** How far two cameras are apart: mean ΔE00 over the patches that both have, on scene light. */
export interface Pair {
  readonly a: string
  readonly b: string
  readonly before: number
  readonly after: number
}

/** Every pair of a setup's cameras, in their order. */
export function cameraPairs(setup: SetupReport, working: PrimariesSpec): Pair[] {
  const toLab = labOfLinear(resolvePrimaries(working))
  const labs = setup.cameras.map(({ camera, match }) => ({
    camera,
    patches: new Map(
      match.patches
        .filter((p) => p.excluded === undefined)
        .map((p) => [p.patch, { before: toLab(p.source), after: toLab(p.matched) }]),
    ),
  }))
  const pairs: Pair[] = []
  for (const [i, a] of labs.entries()) {
    for (const b of labs.slice(i + 1)) {
      const common = [...a.patches.keys()].filter((name) => b.patches.has(name))
      const mean = (stage: 'before' | 'after') => {
        const one = (name: string): number => {
          const left: Lab65 = a.patches.get(name)![stage]
          return deltaE00(left, b.patches.get(name)![stage])
        }
        return common.reduce((sum, name) => sum + one(name), 0) / common.length
      }
      pairs.push({ a: a.camera, b: b.camera, before: mean('before'), after: mean('after') })
    }
  }
  return pairs
}
