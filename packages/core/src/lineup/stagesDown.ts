import type { Shape } from '../shape/shape.ts'
import type { turnStage } from '../shape/turn.ts'
import type { TurnGroup } from './controls.ts'

/** A group of controls to be turned, and what is expected of it. */
export interface TurnStage extends Shape<typeof turnStage> {}

/**
 * The stages of a turn with what each gains. One after which it would be worse than before it is to be set together with the next,
 * so that nobody who does what is said is ever worse off; what comes after the best of them is left out.
 *
 * @param now mean ΔE00 before the first. @param stages in the order in which to turn, each with the mean ΔE00 expected of
 * whoever stops after it
 */
export function stagesDown(
  now: number,
  stages: readonly { readonly group: TurnGroup; readonly expected: number }[],
): TurnStage[] {
  const least = Math.min(...stages.map(({ expected }) => expected))
  const best = stages.findIndex(({ expected }) => expected === least)
  let from = now
  return stages.slice(0, best + 1).map(({ group, expected }): TurnStage => {
    if (expected > from) return { group, expected, together: true }
    const gain = from - expected
    from = expected
    return { group, expected, gain }
  })
}
