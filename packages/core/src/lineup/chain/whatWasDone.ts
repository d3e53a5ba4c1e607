import { exp } from '../../elementary/exp.ts'
import { ln } from '../../elementary/ln.ts'
import type { Mat3 } from '../../linear/mat3.ts'
import { controlNames, groupOf } from '../controls.ts'
import type { Panel } from '../panel.ts'
import type { ShotSignal } from '../shot/shotSignal.ts'
import { type Curve, turnSignal } from './chain.ts'
import { type ChainBelief, learnChain, type MatrixPrior, roughly } from './learnChain.ts'

/** What the shots of a camera say of it. */
export interface Learnt {
  readonly beliefs: readonly ChainBelief[]
  /** Index of the first shot that the beliefs rest on. */
  readonly since: number
  /** How many of the groups of controls were turned after each shot but the last. */
  readonly done: readonly number[]
  /** Was the camera touched otherwise than was asked after each of these? */
  readonly touched: readonly boolean[]
}

/** What a later round has found out of an earlier shot. */
export interface KnownOfShot {
  /** How many groups of controls were turned after it. */
  readonly done?: number | undefined
  /** Was the camera then touched otherwise than was asked? */
  readonly touched?: boolean | undefined
}

/** Above this misfit another explanation is looked for: that nobody knows what was turned … */
const doubtful = 1.5
/** … and above this one that is none either. */
const unexplained = 3
/** ln of the odds that all of the advice was followed, against each way of following a part: common practice, no source. */
const obedience = ln(8)
/**
 * A way that foretells the next shot so much worse than another by what is believed so far, as a factor and in the signal,
 * is not looked at more closely: controls that act twice or half as much as is asked there are not.
 */
const hopeless = { factor: 2.5, signal: 0.004 }

/**
 * Nobody says what was turned: the next shot tells. Of these the most probable is taken: all of the advice was
 * followed; somebody stopped after the first, second or third group of controls (they are given in that order); nothing
 * was turned. Where none of them explains the shot, the camera was touched in another way: what was turned is then told by the shots
 * alone, and what was learnt of the camera stays. Where not even that explains it (another light, another lens), its story
 * begins anew.
 *
 * @param known by shot, what a later round has found out before: it is not looked for again
 */
export function whatWasDone(
  curve: Curve,
  shots: readonly ShotSignal[],
  prior: MatrixPrior,
  toPrimaries: Mat3,
  panel: Panel,
  known: readonly KnownOfShot[] = [],
): Learnt {
  const learn = (story: readonly ShotSignal[], before?: readonly ChainBelief[], limits?: typeof roughly) =>
    learnChain(curve, story, prior, toPrimaries, panel, before, limits)
  let since = 0
  let story: ShotSignal[] = []
  /** Of the story; worked out when it is asked for. */
  let beliefs: readonly ChainBelief[] | undefined
  const done: number[] = []
  const touched: boolean[] = []
  for (const [i, shot] of shots.entries()) {
    const before = story.at(-1)
    if (before?.asked === undefined) {
      story = [shot]
      continue
    }
    const { asked } = before
    const past = story.slice(0, -1)
    const told = (groups: number): ShotSignal[] => [
      ...past,
      { ...before, asked: asked.map((value, j) => (groupOf[j]! < groups ? value : 0)) },
      shot,
    ]
    /** It was touched otherwise than was asked. */
    const freely: ShotSignal[] = [
      ...past,
      { ...before, asked: new Float64Array(asked.length), unknown: true },
      shot,
    ]
    const goOn = (found: readonly ChainBelief[]) => {
      const explained = misfitOf(found) <= unexplained
      if (!explained) since = i
      story = explained ? freely : [shot]
      beliefs = explained ? found : undefined
    }
    const { done: knownDone, touched: knownTouched } = known[i - 1] ?? {}
    if (knownDone !== undefined && knownTouched !== undefined) {
      done.push(knownDone)
      touched.push(knownTouched)
      if (knownTouched) goOn(learn(freely, beliefs))
      else {
        story = told(knownDone)
        beliefs = undefined
      }
      continue
    }
    beliefs ??= learn(story)
    const start = beliefs
    const ways = knownDone === undefined ? waysOf(curve, before, shot, beliefs) : [knownDone]
    const likeliest = ways
      .map((groups) => {
        const found = learn(told(groups), start, ways.length > 1 ? roughly : undefined)
        const odds = groups === controlNames.length ? obedience : 0
        return { groups, found, score: odds + Math.max(...found.map(({ evidence }) => evidence)) }
      })
      .reduce((a, b) => (b.score > a.score ? b : a))
    const best =
      ways.length > 1 ? { ...likeliest, found: learn(told(likeliest.groups), likeliest.found) } : likeliest
    done.push(best.groups)
    // Nobody followed anything: as probable as that a part was followed.
    const free = misfitOf(best.found) > doubtful ? learn(freely, start) : undefined
    touched.push(free !== undefined && Math.max(...free.map(({ evidence }) => evidence)) > best.score)
    if (touched.at(-1)) goOn(free!)
    else {
      story = told(best.groups)
      beliefs = best.found
    }
  }
  return { beliefs: beliefs ?? learn(story), since, done, touched }
}

const misfitOf = (beliefs: readonly ChainBelief[]) => Math.min(...beliefs.map(({ misfit }) => misfit))

/** How many groups may have been turned, all of them first: those that differ, and are not out of the question. */
function waysOf(
  curve: Curve,
  { signal, asked }: ShotSignal,
  { signal: next }: ShotSignal,
  beliefs: readonly ChainBelief[],
): number[] {
  const all = controlNames.length
  const differing = [all]
  for (let groups = all - 1; groups >= 0; groups--) {
    // The last group of this way turned nothing: the same as the way before.
    if (asked!.some((value, i) => groupOf[i] === groups && value !== 0)) differing.push(groups)
  }
  if (differing.length === 1) return differing
  const { chain, theta } = beliefs.reduce((a, b) => (b.probability > a.probability ? b : a))
  const now = chain(theta)
  const out = new Float64Array(signal.length)
  const off = differing.map((groups) => {
    const turned = asked!.map((value, i) => (groupOf[i]! < groups ? value * exp(theta[6 + groupOf[i]!]!) : 0))
    if (!turnSignal(curve, signal, now, turned, out)) return Number.POSITIVE_INFINITY
    let [sum, count] = [0, 0]
    for (let i = 0; i < out.length; i++) {
      const d = out[i]! - next[i]!
      if (Number.isNaN(d)) continue
      sum += d * d
      count++
    }
    return Math.sqrt(sum / Math.max(count, 1))
  })
  const limit = hopeless.factor * Math.min(...off) + hopeless.signal
  return differing.filter((_, i) => !(off[i]! > limit))
}
