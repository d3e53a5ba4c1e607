import { useSignal } from '@preact/signals'
import { useEffect, useRef } from 'preact/hooks'
import { ScopeMarks } from '../components/ScopeMarks.tsx'
import { standardOf } from '../match/standardOf.ts'
import { type Camera, matched } from '../match/state.ts'
import { scopeDots } from '../match/view/scopeDots.ts'
import { ask } from '../match/workers.ts'
import type { LiveInput } from './LiveInput.ts'

/** Scopes of a running input and the chart's patches of its last reading; with a match, also of what the LUT makes of it. */
export function LiveScopes({
  camera,
  live,
  setup,
}: {
  readonly camera: Camera
  readonly live: LiveInput
  readonly setup: string
}) {
  const canvas = useRef<HTMLCanvasElement>(null)
  const of = useSignal<'as it comes' | 'matched'>('as it comes')
  const judged = matched.value?.judged.find((one) => one.camera === camera.id && one.setup === setup)
  const isMatched = of.value === 'matched' && live.matched.value && judged !== undefined
  const standard = isMatched ? judged.output : standardOf(camera.encoding)
  const range = live.form.value.range

  useEffect(() => {
    // A canvas is given away once; a component that comes again has another.
    if (canvas.current !== null) live.drawScopes(canvas.current.transferControlToOffscreen())
  }, [live])
  useEffect(() => live.setScopes(standard, isMatched), [live, JSON.stringify(standard), isMatched])
  useEffect(() => {
    if (judged === undefined) {
      live.setLattice(undefined)
      return
    }
    let gone = false
    ask<'lattice'>({ kind: 'lattice', lut: judged.lut }).then(
      ({ lattice }) => {
        if (!gone) live.setLattice(lattice)
      },
      // Without a LUT to look through the verdict stands all the same.
      () => undefined,
    )
    return () => {
      gone = true
    }
  }, [live, judged])

  const pace = live.pace.value
  const sight = live.sight.value
  return (
    <figure class="scope-strip" data-frames={pace?.frames ?? 0}>
      <canvas
        ref={canvas}
        role="img"
        aria-label={`Parade, waveform and vectorscope of ${camera.id}, ${isMatched ? 'matched' : 'as it comes'}`}
      />
      <ScopeMarks
        standard={standard}
        range={range}
        dots={scopeDots(judged, sight?.areas ?? [], sight?.width ?? 1, isMatched)}
      />
      <figcaption>
        {live.matched.value && (
          <label>
            scopes of the picture{' '}
            <select
              value={of.value}
              onChange={({ currentTarget }) => {
                of.value = currentTarget.value as 'matched'
              }}
            >
              <option>as it comes</option>
              <option>matched</option>
            </select>
          </label>
        )}{' '}
        <span>
          {standard.name}
          {pace !== undefined &&
            `; ${pace.shown < 1.5 ? 'one frame' : `${pace.shown.toFixed(0)} frames`} a second${pace.step > 1 ? `, one pixel in ${pace.step} of one line in ${pace.step}` : ''}`}
          {judged !== undefined && '; dots: patches of the last reading, rings: where they should be'}
        </span>
      </figcaption>
    </figure>
  )
}
