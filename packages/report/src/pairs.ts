import { deltaE00, type Lab65, labOfView, resolvePrimaries } from '@isochip/core'
import type { Shape } from '@isochip/core/shapes'
import type { pair } from './data/reportShape.ts'
import { patchLights } from './patchLights.ts'
import type { SetupReport, ShowReport } from './showReport.ts'

/** How far two cameras are apart: mean ΔE00 over the patches that both have. */
export interface Pair extends Shape<typeof pair> {}

/** Every pair of a setup's cameras, in their order; on the light that the report's figures are on. */
export function cameraPairs(
  setup: SetupReport,
  { working, view }: Pick<ShowReport, 'working' | 'view'>,
): Pair[] {
  const toLab = labOfView(resolvePrimaries(working), view)
  const labs = setup.cameras.map(({ camera, match }) => ({
    camera,
    patches: new Map(
      patchLights(match)
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
