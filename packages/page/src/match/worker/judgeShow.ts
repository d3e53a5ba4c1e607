import {
  cautionText,
  type FittedCamera,
  furtherCautions,
  isFitted,
  nextStep,
  stateWords,
  type Tolerance,
  verdict,
} from '@isochip/report'
import { buildReport, matchReadings } from '@isochip/show'
import { scopeStandard } from '../../scopes/standard.ts'
import { inChoices } from '../choiceWords.ts'
import { type Answers, type Ask, type Judged, shotKey } from '../messages.ts'
import { adviseSetting } from './adviseSetting.ts'
import { patchDots } from './look/patchDots.ts'
import { planOf } from './planOf.ts'

/** Matches the cameras that a part of a show has, and says how far each is to be trusted. */
export async function judgeShow({
  parts,
  readings,
  rounds,
}: Extract<Ask, { kind: 'match' }>): Promise<Answers['match']> {
  const plan = await planOf(parts)
  const { matches, failures } = matchReadings(plan, readings)
  const report = buildReport(plan, matches)
  const judged = report.setups
    .flatMap(({ cameras }) => cameras)
    .filter(isFitted)
    .map((one): Judged => {
      const shot = matches.find(({ camera, setup }) => camera === one.camera && setup === one.setup)!
      const set = adviseSetting(plan, shot, readings, rounds[shotKey(one.camera, one.setup)])
      const scopes = { dots: patchDots(plan, shot), output: scopeStandard(plan.output.spec) }
      const lut = {
        source: shot.source.spec,
        model: one.match.model,
        working: plan.working,
        output: plan.output.spec,
        bits: shot.bits,
      }
      return { ...judge(one, report.tolerance), ...scopes, lut, ...(set === undefined ? {} : { set }) }
    })
  return {
    judged,
    failed: failures.map(({ message, hint, place }) => ({
      camera: place.camera ?? '',
      setup: place.setup ?? '',
      message: hint === undefined ? message : `${message}. ${hint}`,
    })),
  }
}

function judge(camera: FittedCamera, tolerance: Tolerance): Omit<Judged, 'dots' | 'output' | 'lut'> {
  const judged = verdict(camera, tolerance)
  const { summary, diagnosis, patches, encodingDoubt } = camera.match
  // Doubts stand by themselves.
  const next = judged.state === 'doubtful' ? undefined : nextStep(judged)
  const expected = diagnosis.expected?.mean
  return {
    camera: camera.camera,
    setup: camera.setup,
    state: judged.state,
    word: stateWords[judged.state],
    ...(next === undefined ? {} : { next }),
    doubts: judged.doubts.map(({ message }) => inChoices(message)),
    cautions: furtherCautions(camera, judged).map(cautionText),
    before: { mean: summary.before.mean, max: summary.before.max },
    after: { mean: summary.after.mean, max: summary.after.max, worst: summary.after.worst },
    ...(expected === undefined ? {} : { expected }),
    patches: patches
      .filter(({ excluded }) => excluded === undefined)
      .map(({ patch, dE00 }) => ({ patch, before: dE00.before, after: dE00.after })),
    ...(encodingDoubt === undefined
      ? {}
      : {
          encodings: encodingDoubt.alternatives.map(({ encoding: { transfer, range }, mean }) => ({
            transfer: typeof transfer === 'string' ? transfer : JSON.stringify(transfer),
            range,
            mean,
          })),
        }),
  }
}
