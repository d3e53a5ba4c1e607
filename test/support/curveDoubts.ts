import {
  applyModel,
  decodeRgb,
  deltaE00,
  type FittedMatch,
  IsochipError,
  labOfLinear,
  matchCamera,
  resolveEncoding,
  type Vec3,
} from '@isochip/core'
import { type CurveFamily, type CurveTask, curveChart, curveTask, curveWorking } from './curveTasks.ts'

/** How many matches of a family there were, and in how many the encoding was called doubtful. */
export interface CurveDoubts {
  readonly tasks: number
  /** Refused with an error. */
  readonly refused: number
  /** Unseen materials come out worse by a tenth, and by ΔE00 0.1, than with the right curve. */
  readonly spoilt: number
  readonly spoiltAndNamed: number
  /** Spoilt, not named, and within a tolerance of mean 1, worst 3. */
  readonly silent: number
  /** Named though they are not spoilt. */
  readonly named: number
  /** What the named ones were, for people. */
  readonly about: readonly string[]
}

const lab = labOfLinear(curveWorking)
const linear = resolveEncoding('linear')

function unseen({ model }: FittedMatch, { unseen: others }: CurveTask, light: (at: number) => Vec3): number {
  const differences = others.map(({ aim }, i) => deltaE00(lab(applyModel(model, light(i))), lab(aim)))
  return differences.reduce((sum, value) => sum + value, 0) / differences.length
}

/** Matches `count` tasks as declared, from a seed on. */
export function curveDoubts(family: CurveFamily, count: number, seed: number): CurveDoubts {
  let [refused, spoilt, spoiltAndNamed, silent, named] = [0, 0, 0, 0, 0]
  const about: string[] = []
  for (let i = 0; i < count; i++) {
    const task = curveTask(family, seed + i)
    const { target, declared } = task
    const input = { chart: curveChart, target, working: curveWorking }
    try {
      const match = matchCamera({ ...input, readings: task.readings, encoding: declared })
      const right = matchCamera({ ...input, readings: task.light, encoding: linear })
      const own = unseen(match, task, (at) => decodeRgb(declared, task.unseen[at]!.code))
      const best = unseen(right, task, (at) => task.unseen[at]!.light)
      const isSpoilt = family !== 'right' && own > 1.1 * best && own > best + 0.1
      const { mean, max } = match.summary.after
      if (isSpoilt) spoilt++
      if (match.encodingDoubt !== undefined) {
        about.push(task.about)
        if (isSpoilt) spoiltAndNamed++
        else named++
      } else if (isSpoilt && mean <= 1 && max <= 3) silent++
    } catch (error) {
      if (!(error instanceof IsochipError)) throw error
      refused++
    }
  }
  return { tasks: count, refused, spoilt, spoiltAndNamed, silent, named, about }
}
