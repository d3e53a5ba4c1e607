import { matrixConvention, outcomeWords } from '@isochip/report'
import type { Judged } from '../messages.ts'
import { sentence } from '../sentences.ts'
import { choices, referenceId, setups } from '../state.ts'
import { SplitView } from './SplitView.tsx'

/** One camera in one setup: the verdict first, then what to do, then figures and pictures. */
export function VerdictCard({ judged }: { readonly judged: Judged }) {
  const { camera, setup, state, word, next, doubts, cautions, before, after, expected, set, patches } = judged
  const to =
    choices.value.target === 'camera'
      ? `matched to ${referenceId.value}`
      : choices.value.target === 'reference'
        ? 'matched to the chart’s own values'
        : 'matched to the mean of all'
  const worst = [...patches].sort((a, b) => b.after - a.after).slice(0, 3)
  return (
    <article class={`card ${state}`}>
      <h2>
        {camera} <small>{[...(setups.value.length > 1 ? [setup] : []), to].join(', ')}</small>
      </h2>
      <p class="state">{word}</p>
      {next !== undefined && (
        <p class="next">
          <b>{sentence(next)}</b>
        </p>
      )}
      {state === 'doubtful' && (
        <p class="next">
          <b>Check this before you use the LUT:</b>
        </p>
      )}
      {doubts.map((text) => (
        <p key={text} class="note doubt">
          {sentence(text)}
        </p>
      ))}
      <dl class="figures">
        <dt>mean ΔE00</dt>
        <dd>
          {before.mean.toFixed(2)} as shot → <b>{after.mean.toFixed(2)} matched</b>
        </dd>
        <dt>worst</dt>
        <dd>
          {before.max.toFixed(2)} → <b>{after.max.toFixed(2)}</b> ({after.worst})
        </dd>
        {expected !== undefined && (
          <>
            <dt>other materials</dt>
            <dd>{expected.toFixed(2)} expected off the chart</dd>
          </>
        )}
        {worst.length > 0 && (
          <>
            <dt>furthest off</dt>
            <dd>{worst.map(({ patch, after: left }) => `${patch} ${left.toFixed(2)}`).join(', ')}</dd>
          </>
        )}
      </dl>
      {set !== undefined && set.instructions.length > 0 && (
        <details>
          <summary>
            To set at the camera instead: ΔE00 {before.mean.toFixed(2)} → {set.expected.toFixed(2)} expected
          </summary>
          <ol class="set">
            {set.instructions.map((one, i) => (
              <li key={one.control}>
                <b>{one.control}</b>
                {one.lines.map((line) => (
                  <span key={line} class="line">
                    {line}
                  </span>
                ))}
                {one.group === 'matrix' && <small>{matrixConvention}</small>}
                <small>{outcomeWords(one, i + 1)}</small>
              </li>
            ))}
          </ol>
        </details>
      )}
      {set !== undefined && set.instructions.length === 0 && (
        <p class="quiet">At the camera no adjustment is needed.</p>
      )}
      {cautions.length > 0 && (
        <details>
          <summary>{cautions.length === 1 ? 'One caution' : `${cautions.length} cautions`}</summary>
          <ul>
            {cautions.map((text) => (
              <li key={text}>{text}</li>
            ))}
          </ul>
        </details>
      )}
      <SplitView judged={judged} />
    </article>
  )
}
