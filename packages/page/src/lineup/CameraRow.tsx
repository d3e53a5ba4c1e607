import { useMemo } from 'preact/hooks'
import { LegalPicture } from '../components/LegalPicture.tsx'
import { Vectorscope } from '../components/Vectorscope.tsx'
import { Waveform } from '../components/Waveform.tsx'
import { recoded } from '../scopes/recoded.ts'
import { scopeStandard } from '../scopes/standard.ts'
import type { ScopePixels } from '../scopes/trace.ts'
import { Advice } from './Advice.tsx'
import type { CameraState, PanelState } from './feed.ts'
import { SimulatedPanel } from './SimulatedPanel.tsx'
import { Trend } from './Trend.tsx'

/** What stands beside the vectorscope. */
export type View = 'waveform' | 'parade' | 'levels'

interface Props {
  readonly state: CameraState
  readonly tolerance: number
  readonly view: View
  readonly pixels: ScopePixels | undefined
  readonly target: ScopePixels | undefined
  /** Of the target camera. */
  readonly targetEncoding: CameraState['encoding'] | undefined
  /** Of a simulated camera. */
  readonly panel: PanelState | undefined
}

/** One camera: where it stands, what to turn next, its signal. */
export function CameraRow({ state, tolerance, view, pixels, target, targetEncoding, panel }: Props) {
  const { camera, isTarget, encoding, encodingText, round, trouble } = state
  const standard = useMemo(() => scopeStandard(encoding), [JSON.stringify(encoding)])
  const behind = useMemo(
    () => (target && targetEncoding && !isTarget ? recoded(target, targetEncoding, encoding) : undefined),
    [target, JSON.stringify([targetEncoding, encoding]), isTarget],
  )
  const id = `camera-${encodeURIComponent(camera)}`
  const verdict = trouble ? 'left' : (round?.verdict.state ?? 'waiting')
  return (
    <section class={`camera ${isTarget ? 'target' : ''}`} aria-labelledby={id}>
      <div class="words">
        <div class="head">
          <h2 id={id}>{camera}</h2>
          {isTarget ? (
            <p class="verdict">target camera</p>
          ) : (
            round && <p class={`verdict ${round.verdict.state}`}>{round.verdict.text}</p>
          )}
          {round && <p class="standing">ΔE00 {round.trend.at(-1)!.toFixed(2)}</p>}
          {round && <Trend trend={round.trend} tolerance={tolerance} />}
        </div>
        <div aria-live="polite">
          {trouble && (
            <p class="trouble">
              <b>{trouble.message}.</b> {trouble.hint}
              {round && verdict === 'left' ? ' What stands below is of the last good round.' : ''}
            </p>
          )}
          {round?.first.map((words) => (
            <p key={words} class="first">
              {words}
            </p>
          ))}
          {round ? (
            <Advice round={round} simulated={panel?.camera} />
          ) : isTarget ? (
            <p>The others are lined up to it.</p>
          ) : (
            <p class="far">{trouble ? 'Shoot the chart' : 'Waiting for a frame'}</p>
          )}
        </div>
        <p class="small">
          {round ? `Round ${round.number}; a LUT would leave ${round.withLut.toFixed(2)}; ` : ''}
          {encodingText}
        </p>
        {round && round.notes.length > 0 && (
          <details class="notes">
            <summary>{round.notes.length === 1 ? '1 caution' : `${round.notes.length} cautions`}</summary>
            {round.notes.map((note) => (
              <p key={note}>{note}</p>
            ))}
          </details>
        )}
      </div>
      {pixels && (
        <div class="scopes">
          {view === 'levels' ? (
            <LegalPicture pixels={pixels} standard={standard} />
          ) : (
            <Waveform
              pixels={pixels}
              target={behind}
              standard={standard}
              range={encoding.range}
              parade={view === 'parade'}
            />
          )}
          <Vectorscope pixels={pixels} target={behind} standard={standard} />
        </div>
      )}
      {panel && (
        <details class="simulation">
          <summary>Simulation: turn {camera} by hand</summary>
          <SimulatedPanel panel={panel} />
        </details>
      )}
    </section>
  )
}
