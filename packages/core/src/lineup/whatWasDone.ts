import type { Mat3 } from '../linear/mat3.ts'
import type { Curve } from './chain.ts'
import { controlNames, groupOf } from './controls.ts'
import { type ChainBelief, learnChain, type MatrixPrior, type ShotSignal } from './learnChain.ts'

/** What the shots of a camera say of it, and since which of them it has only been turned as was asked. */
export interface Learnt {
  readonly beliefs: readonly ChainBelief[]
  /** Index of the first shot that the beliefs rest on. */
  readonly since: number
  /** How many of the groups of controls were turned after each shot but the last. */
  readonly done: readonly number[]
}

/** Above this misfit the camera has been touched otherwise: what was learnt of it before is let go. */
const unexplained = 3
/** ln of the odds that all of the advice was followed, against each way of following a part: common practice, no source. */
const obedience = Math.log(8)

/**
 * Nobody says what was turned: the next shot tells. Of these the most probable is taken: all of the advice was
 * followed; somebody stopped after the first, second or third group of controls (they are given in that order); nothing
 * was turned. Where none of them explains the shot, the camera was touched in another way, and its story begins anew.
 *
 * @param known by shot, how many groups were turned after it where that was found out before.
 */
export function whatWasDone(
  curve: Curve,
  shots: readonly ShotSignal[],
  prior: MatrixPrior,
  toPrimaries: Mat3,
  known: readonly (number | undefined)[] = [],
): Learnt {
  let since = 0
  let story: ShotSignal[] = []
  let beliefs = learnChain(curve, shots.slice(0, 1), prior, toPrimaries)
  const done: number[] = []
  for (const [i, shot] of shots.entries()) {
    const before = story.at(-1)
    if (before?.asked === undefined) {
      story = [shot]
      continue
    }
    const { asked } = before
    const past = story.slice(0, -1)
    const learn = (groups: number) => {
      const turned = asked.map((value, j) => (groupOf[j]! < groups ? value : 0))
      const told = [...past, { ...before, asked: turned }, shot]
      const found = learnChain(curve, told, prior, toPrimaries)
      const odds = groups === controlNames.length ? obedience : 0
      return { groups, told, found, score: odds + Math.max(...found.map(({ evidence }) => evidence)) }
    }
    const all = controlNames.length
    const ways = known[i - 1] === undefined ? [all, all - 1, all - 2, all - 3, 0] : [known[i - 1]!]
    const best = ways.map(learn).reduce((a, b) => (b.score > a.score ? b : a))
    done.push(best.groups)
    if (Math.min(...best.found.map(({ misfit }) => misfit)) > unexplained) {
      since = i
      story = [shot]
      beliefs = learnChain(curve, story, prior, toPrimaries)
    } else {
      story = best.told
      beliefs = best.found
    }
  }
  return { beliefs, since, done }
}
