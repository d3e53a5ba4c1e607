import { type Instruction, matrixConvention } from '@isochip/report'
import { useState } from 'preact/hooks'
import type { RoundState } from './feed.ts'

/** What belongs together stays on one line; between its parts a line may end. */
const parts = (line: string) => line.split(/ {2,}| (?=\()/)

/** Units and what stands in parentheses: beside the figure to be set, smaller. */
const isAside = (part: string) => /^[(%]/.test(part)

function Far({ lines: [first = '', ...more], group }: Instruction) {
  const large = group === 'matrix' ? [first, ...more] : [first]
  return (
    <>
      <p class="far">
        {large.flatMap(parts).map((part) => (
          <span key={part} class={isAside(part) ? 'aside' : undefined}>
            {part}{' '}
          </span>
        ))}
      </p>
      {group === 'matrix' ? (
        <p>{matrixConvention}</p>
      ) : (
        more.length > 0 && (
          <p class="units">
            {more.map((line) => (
              <span key={line}>{parts(line).join(' ')} </span>
            ))}
          </p>
        )
      )}
    </>
  )
}

/** The round's instructions, one at a time, large; whoever has turned one goes on to the next. */
export function Advice({ round }: { readonly round: RoundState }) {
  const { steps, verdict } = round
  const [chosen, choose] = useState({ round: round.number, step: 0 })
  // A new round begins with its first instruction.
  const step = chosen.round === round.number ? chosen.step : 0
  const go = (to: number) => choose({ round: round.number, step: to })
  const current = steps[step]
  if (steps.length === 0) return <p class="far">{verdict.text}</p>
  return (
    <div class="advice">
      <div class="control">
        <p>
          {current === undefined ? (
            <b>All {steps.length} set</b>
          ) : (
            <>
              <b>
                {step + 1} of {steps.length}: {current.control}
              </b>
              , then ΔE00 {current.expected.toFixed(2)} is expected
            </>
          )}
        </p>
        <button type="button" disabled={step === 0} onClick={() => go(step - 1)}>
          Back
        </button>
        <button type="button" disabled={current === undefined} onClick={() => go(step + 1)}>
          Next
        </button>
      </div>
      {current === undefined ? <p class="far">Shoot the chart again</p> : <Far {...current} />}
    </div>
  )
}
