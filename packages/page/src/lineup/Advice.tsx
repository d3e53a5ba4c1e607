import { type Instruction, matrixConvention, outcomeWords } from '@isochip/report'
import { useState } from 'preact/hooks'
import type { RoundState } from './feed.ts'
import { sendTurn } from './sendTurn.ts'

/** What belongs together stays on one line; between its parts a line may end. */
const parts = (line: string) => line.split(/ {2,}| (?=\()/)

/** Units and what stands in parentheses: beside the figure to be set, smaller. */
const isAside = (part: string) => /^[(%]/.test(part)

function Far({ lines: [first = '', ...more], group }: Instruction) {
  const all = (group === 'matrix' ? [first, ...more] : [first]).flatMap(parts)
  // Three figures fill the line: their unit stands with the other units.
  const aside = group === 'pedestal' ? all.filter(isAside) : []
  return (
    <>
      <p class="far">
        {all
          .filter((part) => !aside.includes(part))
          .map((part) => (
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
            <b>{aside.join(' ')}</b>
            {more.map((line) => (
              <span key={line}> · {parts(line).join(' ')}</span>
            ))}
          </p>
        )
      )}
    </>
  )
}

/** The round's instructions, one at a time, large; whoever has turned one goes on to the next. */
export function Advice({
  round,
  simulated,
}: {
  readonly round: RoundState
  /** Name of the camera, where it is simulated and can be turned from here. */
  readonly simulated?: string | undefined
}) {
  const { steps, verdict } = round
  // Whoever is within tolerance is done, and may go on.
  const begin = verdict.state === 'within' ? -1 : 0
  const [chosen, choose] = useState({ round: round.number, step: begin })
  // A new round begins anew.
  const step = chosen.round === round.number ? chosen.step : begin
  const go = (to: number) => choose({ round: round.number, step: to })
  const current = steps[step]
  if (steps.length === 0)
    return <p class="far">{verdict.state === 'within' ? 'Nothing to turn' : verdict.text}</p>
  if (step < 0)
    return (
      <div class="advice">
        <p class="far">Done</p>
        <p class="control">
          <button type="button" onClick={() => go(0)}>
            Bring it closer still
          </button>
        </p>
      </div>
    )
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
              , {outcomeWords(current, step + 1)}
              {step + 1 < steps.length &&
                `; ΔE00 ${steps.at(-1)!.outcome!.expected.toFixed(2)} after all ${steps.length}`}
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
      {simulated !== undefined && (
        <p class="simulated">
          <b>Simulation:</b>{' '}
          {current === undefined ? (
            <button type="button" onClick={() => void sendTurn({ camera: simulated, shoot: true })}>
              Shoot the chart
            </button>
          ) : (
            <button
              type="button"
              onClick={() => {
                void sendTurn({ camera: simulated, asked: current.group })
                go(step + 1)
              }}
            >
              Turn it so
            </button>
          )}
        </p>
      )}
    </div>
  )
}
