import { useSignal } from '@preact/signals'
import { useEffect, useRef } from 'preact/hooks'
import { shoot } from '../match/actions.ts'
import { sentences } from '../match/sentences.ts'
import { type Camera, setups } from '../match/state.ts'
import { SignalChoice } from './form/SignalChoice.tsx'
import { keepInput } from './inputsAtHand.ts'
import type { LiveInput } from './LiveInput.ts'
import { LiveScopes } from './LiveScopes.tsx'
import { MatchedPicture } from './picture/MatchedPicture.tsx'
import { SightLines } from './SightLines.tsx'

/** Frames that a reading is the mean of. Sixteen quarter the noise. */
const counts = [1, 4, 16, 64]

/** A running input: its picture with the chart as it is followed, and a reading of it. */
export function LiveView({ camera, live }: { readonly camera: Camera; readonly live: LiveInput }) {
  const video = useRef<HTMLVideoElement>(null)
  const count = useSignal(16)
  const border = useSignal(0.5)
  const setup = useSignal(setups.value[0]!)
  useEffect(() => {
    live.show(video.current ?? undefined)
    return () => live.show(undefined)
  }, [live])
  const into = setups.value.includes(setup.value) ? setup.value : setups.value[0]!
  const read = async () => {
    const grab = await live.average(count.value)
    if (grab === undefined) return
    keepInput(camera.key)
    await shoot(camera.key, into, { grab }, `${live.input.label}, mean of ${count.value} frames`)
  }
  const state = live.state.value
  const sight = live.sight.value
  return (
    <div class={`live ${state}`}>
      <div class="live-picture">
        <video ref={video} muted playsInline autoPlay aria-label={`Running picture of ${camera.id}`} />
        <MatchedPicture key={live.workers.value} camera={camera} live={live} border={border.value} />
        {sight !== undefined && <SightLines sight={sight} />}
      </div>
      {live.matched.value && (
        <label class="border">
          <span>as it comes | matched</span>
          <input
            type="range"
            min="0"
            max="1"
            step="0.01"
            aria-label={`Border between the picture of ${camera.id} as it comes and matched`}
            value={border.value}
            onInput={({ currentTarget }) => {
              border.value = Number(currentTarget.value)
            }}
          />
        </label>
      )}
      {live.trouble.value !== undefined && (
        <p role="alert" class="note out">
          {sentences(live.trouble.value)}{' '}
          {state === 'ended' && (
            <button type="button" onClick={() => void live.open()}>
              Reconnect
            </button>
          )}
        </p>
      )}
      {state === 'running' && (
        <>
          <p class="sight">
            {sight === undefined
              ? 'No chart in sight: show the whole chart, as large as it goes.'
              : 'The chart is in sight.'}
          </p>
          <p class="take">
            <button
              type="button"
              class="main"
              disabled={live.averaging.value || sight === undefined}
              onClick={() => void read()}
            >
              {live.averaging.value ? 'Hold still …' : 'Take a reading'}
            </button>{' '}
            <label>
              <span class="out-of-sight">Frames that the reading is the mean of</span>
              <select
                value={String(count.value)}
                onChange={({ currentTarget }) => {
                  count.value = Number(currentTarget.value)
                }}
              >
                {counts.map((one) => (
                  <option key={one} value={String(one)}>
                    {one === 1 ? 'a single frame' : `mean of ${one} frames`}
                  </option>
                ))}
              </select>
            </label>
            {setups.value.length > 1 && (
              <label>
                {' '}
                as{' '}
                <select
                  value={into}
                  onChange={({ currentTarget }) => {
                    setup.value = currentTarget.value
                  }}
                >
                  {setups.value.map((one) => (
                    <option key={one}>{one}</option>
                  ))}
                </select>
              </label>
            )}
          </p>
          <LiveScopes camera={camera} live={live} setup={into} />
          <SignalChoice camera={camera} live={live} />
        </>
      )}
    </div>
  )
}
