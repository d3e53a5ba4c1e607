import { resolveEncoding } from '@isochip/core'
import { bakeMatch } from '@isochip/export'
import type { Answers, Ask } from '../messages.ts'
import { matchOf } from './matchOf.ts'
import { planOf } from './planOf.ts'

/** Nodes a side: what is looked at needs no more. */
const size = 33

/** The LUT of a camera for its running picture: nominal levels to nominal levels, whatever the range of the delivered one. */
export async function latticeOf({
  parts,
  readings,
  camera,
  setup,
}: Extract<Ask, { kind: 'lattice' }>): Promise<Answers['lattice']> {
  const plan = await planOf(parts)
  const one = matchOf(plan, readings, camera, setup)
  if (one === undefined) return {}
  const full = ({ spec }: typeof one.source) => resolveEncoding({ ...spec, range: 'full' })
  const match = {
    source: full(one.source),
    model: one.match.model,
    working: plan.working,
    output: full(plan.output),
    bits: one.bits,
  }
  const lut = bakeMatch(match, { size })
  return { lattice: { ...lut, tableRedFastest: Float32Array.from(lut.tableRedFastest) } }
}
