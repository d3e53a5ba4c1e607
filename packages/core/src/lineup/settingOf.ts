import type { MatchInput } from '../match/matchCamera.ts'
import type { FitOptions } from '../match/options.ts'
import type { FittedMatch, Setting } from '../match/result.ts'
import { lineUp } from './lineUp.ts'
import type { Controls } from './panel.ts'

/**
 * What to set at a camera by one shot of the chart, so that it needs no LUT: the first round of a line-up.
 *
 * @param input as it was matched; `match` what came of it, by the same options; `controls` how those of the camera move
 */
export function settingOf(
  input: MatchInput,
  match: FittedMatch,
  options: FitOptions = {},
  controls?: Controls,
): Setting {
  const { turn, advice, now } = lineUp(input, [], {
    ...options,
    match,
    ...(controls === undefined ? {} : { controls }),
  })
  return {
    turn,
    stages: advice.stages,
    now,
    expected: advice.expected,
    ...(controls === undefined ? {} : { controls }),
  }
}
