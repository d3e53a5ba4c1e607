import {
  type EarlierRound,
  type LineUpRound,
  lineUp,
  type Setting,
  type Target,
  type Turn,
  targetFromCamera,
  targetFromReference,
} from '@isochip/core'
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
  if (match.kind === 'reference' || match.setting === undefined) return
  const target = targetOf(plan, setup, all)
  if (target === undefined || source.spec.transfer !== plan.encodings.get(camera)!.spec.transfer) return
  const controls = plan.show.cameras.find(({ id }) => id === camera)?.controls
  const said = (
    turn: Turn,
    stages: Setting['stages'],
    expected: number,
    { done, touched }: Pick<LineUpRound, 'done' | 'touched'>,
  ) => ({
    instructions: instructions(turn, stages, source.spec.range, controls),
    expected,
    asked: turn,
    done,
    touched,
  })
  // The match has its first round with it.
  const { turn: first, stages, expected } = match.setting
  if (earlier.length === 0) return said(first, stages, expected, { done: [], touched: [] })
  const { chart, working, show } = plan
  const input = { chart, readings, encoding: source, target, working }
  const { turn, advice, ...told } = lineUp(input, earlier, {
    ...show.fit,
    match,
    ...(controls === undefined ? {} : { controls }),
  })
  return said(turn, advice.stages, advice.expected, told)
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
