import type { MatchInput } from '../match/matchInput.ts'
import type { FitOptions } from '../match/options.ts'
import type { FittedMatch, Setting } from '../match/result.ts'
import { saysMisread } from '../misread/misreadChart.ts'
import { lineUp } from './lineUp.ts'
import type { Controls } from './panel.ts'

/**
 * What to set at a camera by one shot of the chart, so that it needs no LUT: the first round of a line-up. Nothing where the chart
 * was misread: what is read of the wrong patches is no advice.
 *
 * @param input as it was matched; `match` what came of it, by the same options; `controls` how those of the camera move
 */
export function settingOf(
  input: MatchInput,
  match: FittedMatch,
  options: FitOptions = {},
  controls?: Controls,
): Setting | undefined {
  if (match.warnings.some(saysMisread)) return undefined
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
