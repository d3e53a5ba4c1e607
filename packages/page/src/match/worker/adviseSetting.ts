import { type EarlierRound, lineUp, type Target, targetFromCamera, targetFromReference } from '@isochip/core'
import { instructions } from '@isochip/report'
import { isMeasured, type SetupMatch, type SetupReadings, type ShowPlan } from '@isochip/show'
import type { Judged } from '../messages.ts'

/**
 * What to set at a camera so that it needs no LUT. Undefined for the reference camera, where the target is the mean of all
 * (which moves with each of them), and where a curve is measured (there is no control for it).
 */
export function adviseSetting(
  plan: ShowPlan,
  { camera, setup, match, source, readings }: SetupMatch,
  all: readonly SetupReadings[],
  earlier: readonly EarlierRound[] = [],
): Judged['set'] {
  const target = match.kind === 'reference' ? undefined : targetOf(plan, setup, all)
  if (target === undefined || source.spec.transfer !== plan.encodings.get(camera)!.spec.transfer) return
  const { chart, working, show } = plan
  const input = { chart, readings, encoding: source, target, working }
  const { turn, advice, done } = lineUp(input, earlier, show.fit)
  return {
    instructions: instructions(turn, advice.stages, source.spec.range),
    expected: advice.expected,
    asked: turn,
    done,
  }
}

function targetOf(
  { chart, working, encodings, show }: ShowPlan,
  setup: string,
  all: readonly SetupReadings[],
): Target | undefined {
  const { target } = show
  if ('reference' in target) return targetFromReference(chart, target.reference, working)
  if (!('camera' in target)) return undefined
  const own = all.find((one) => one.camera === target.camera && one.setup === setup)
  const encoding = encodings.get(target.camera)
  if (own === undefined || encoding === undefined || isMeasured(encoding)) return undefined
  return targetFromCamera(chart, own.readings, encoding, working)
}
