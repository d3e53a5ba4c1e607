import { deltaE76, itpDistance, itpFromXyz65 } from '../colour/deltaE.ts'
import { deltaE00 } from '../colour/deltaE00.ts'
import type { Lab65 } from '../colour/lab.ts'
import type { Primaries } from '../colour/primaries.ts'
import { labSeenBy } from '../colour/viewing.ts'
import { rgbToXyz65 } from '../colour/working.ts'
import { summarise } from '../diagnose/summary.ts'
import type { Fit } from '../fit/fitKind.ts'
import { apply3, type Vec3 } from '../linear/mat3.ts'
import { applyModel, type MatchModel } from '../model/model.ts'
import type { MatchProblem } from '../problem/matchProblem.ts'
import type { Prepared } from '../samples/prepareSamples.ts'
import type { Target } from '../target/target.ts'
import { judged } from './judged.ts'
import type { PatchResult, Summaries } from './result.ts'

interface Stage {
  readonly fit: Fit
  readonly balanced: MatchModel
  readonly left: readonly (number | undefined)[]
  /** Where uneven light is divided out: by patch, the factor on its light as shot. */
  readonly factors: ReadonlyMap<string, number> | undefined
}

export function patchResults(
  prepared: Prepared,
  problem: MatchProblem,
  working: Primaries,
  target: Target,
  { fit, balanced, left, factors }: Stage,
): PatchResult[] {
  const toXyz65 = rgbToXyz65(working)
  const lab = labSeenBy(problem.viewing)
  const seen = (colour: Vec3) => ({ lab: lab(colour), itp: itpFromXyz65(apply3(toXyz65, colour)) })
  return judged(prepared, problem, target).map(({ patch, sample, light, aim, weight, excluded }) => {
    const source = apply3(problem.declared, light)
    const factor = factors?.get(patch) ?? 1
    const even: Vec3 = [factor * light[0], factor * light[1], factor * light[2]]
    const matched = applyModel(fit.model, even)
    const wanted = seen(aim)
    const before = seen(source)
    const between = seen(applyModel(balanced, even))
    const after = seen(matched)
    const of = (measure: (colour: Seen, wanted: Seen) => number) => ({
      before: measure(before, wanted),
      balanced: measure(between, wanted),
      after: measure(after, wanted),
    })
    const alone = sample === undefined ? undefined : left[sample]
    return {
      patch,
      source,
      target: aim,
      matched,
      dE00: of((a, b) => deltaE00(a.lab, b.lab)),
      dE76: of((a, b) => deltaE76(a.lab, b.lab)),
      dEITP: of((a, b) => itpDistance(a.itp, b.itp)),
      ...(alone === undefined ? {} : { leaveOneOut: alone }),
      weight,
      ...(excluded === undefined ? {} : { excluded }),
    }
  })
}

/** A colour in the spaces in which differences are told. */
interface Seen {
  readonly lab: Lab65
  readonly itp: Vec3
}

export function summaries(used: readonly PatchResult[]): Summaries {
  const stage = (of: (patch: PatchResult) => number) =>
    summarise(used.map((patch) => ({ patch: patch.patch, dE00: of(patch) })))
  const alone = used.filter((patch) => patch.leaveOneOut !== undefined)
  return {
    before: stage((patch) => patch.dE00.before),
    balanced: stage((patch) => patch.dE00.balanced),
    after: stage((patch) => patch.dE00.after),
    ...(alone.length === 0
      ? {}
      : { leaveOneOut: summarise(alone.map((patch) => ({ patch: patch.patch, dE00: patch.leaveOneOut! }))) }),
  }
}
