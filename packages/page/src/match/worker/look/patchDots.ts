import {
  apply3,
  type Encoding,
  primariesConversion,
  resolvePrimaries,
  resolveTransfer,
  type Vec3,
} from '@isochip/core'
import type { SetupMatch, ShowPlan } from '@isochip/show'
import type { PatchDot } from '../../messages.ts'

/** The patches that take part, as the scopes show them. */
export function patchDots(
  { working, output }: ShowPlan,
  { match, source, readings }: SetupMatch,
): PatchDot[] {
  if (match.kind === 'reference') return []
  const read = new Map(readings.patches.map(({ patch, rgb }) => [patch, rgb]))
  const into = ({ spec, primaries }: Encoding) => {
    const { encode } = resolveTransfer(spec.transfer)
    const turned = primariesConversion(resolvePrimaries(working), primaries)
    return (light: Vec3): Vec3 => {
      const [r, g, b] = apply3(turned, light)
      return [encode(r, 0), encode(g, 1), encode(b, 2)]
    }
  }
  const [own, out] = [into(source), into(output)]
  return match.patches.flatMap(({ patch, excluded, target, matched }) => {
    const shot = read.get(patch)
    if (excluded !== undefined || shot === undefined) return []
    return [{ patch, shot, shotAim: own(target), matched: out(matched), matchedAim: out(target) }]
  })
}
