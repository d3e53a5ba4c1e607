import { useSignal } from '@preact/signals'
import { useEffect, useRef } from 'preact/hooks'
import { dropShot, shootClip } from '../actions.ts'
import { drawShot } from '../drawShot.ts'
import type { NamedFile } from '../messages.ts'
import { sentences } from '../sentences.ts'
import { type Camera, referenceId, type Shot, setups, unreferenced } from '../state.ts'
import { CornerEditor } from './CornerEditor.tsx'
import { DropArea } from './DropArea.tsx'

interface ShotViewProps {
  readonly camera: Camera
  readonly shot: Shot
  onFiles(files: readonly NamedFile[]): void
}

/** A shot: its frame with the sampled areas, and what is to be known of it. */
export function ShotView({ camera, shot, onFiles }: ShotViewProps) {
  const editing = useSignal(false)
  const canvas = useRef<HTMLCanvasElement>(null)
  const { read, failure, state } = shot
  const frame = read?.frame
  const clip = 'grab' in shot.source ? shot.source.clip : undefined
  useEffect(() => {
    if (frame !== undefined && canvas.current !== null) drawShot(canvas.current, frame)
  }, [frame])
  const foreign = frame?.areas.filter((area) => area.foreign).length ?? 0
  return (
    <div class={`shot-view ${state}`}>
      {frame !== undefined && (
        <canvas
          ref={canvas}
          role="img"
          aria-label={`Frame of ${camera.id}, ${shot.setup}, with the ${frame.areas.length} sampled areas${foreign === 0 ? '' : `, ${foreign} of them left out`}`}
        />
      )}
      <p class="file" title={shot.name}>
        {shot.name}
      </p>
      {clip !== undefined && (
        <label>
          frame at{' '}
          <input
            type="number"
            min="0"
            step="0.1"
            value={clip.seconds}
            onChange={({ currentTarget }) =>
              void shootClip(camera.key, shot.setup, clip, Math.max(0, Number(currentTarget.value) || 0))
            }
          />{' '}
          seconds
        </label>
      )}
      {state === 'reading' && <p role="status">Reading …</p>}
      {unreferenced.value.has(shot.setup) && (
        <p class="quiet">
          To be matched when {referenceId.value}, the reference camera, has the chart
          {setups.value.length > 1 ? ` of ${shot.setup}` : ''} too.
        </p>
      )}
      {failure !== undefined && (
        <p role="alert" class="note out">
          {sentences(failure)}
        </p>
      )}
      {read !== undefined && read.cautions.length > 0 && (
        <details class="note doubt">
          <summary>{read.cautions.length === 1 ? 'One caution' : `${read.cautions.length} cautions`}</summary>
          <ul>
            {read.cautions.map((text) => (
              <li key={text}>{text}</li>
            ))}
          </ul>
        </details>
      )}
      <DropArea
        label={`Replace frame of ${camera.id}, ${shot.setup}`}
        class="again"
        choose="Replace frame"
        onFiles={onFiles}
      >
        {frame !== undefined && (
          <button
            type="button"
            onClick={() => {
              editing.value = true
            }}
          >
            Corners …
          </button>
        )}
        <button type="button" onClick={() => dropShot(camera.key, shot.setup)}>
          Remove frame
        </button>
      </DropArea>
      {editing.value && frame !== undefined && (
        <CornerEditor
          camera={camera}
          shot={shot}
          frame={frame}
          onClose={() => {
            editing.value = false
          }}
        />
      )}
    </div>
  )
}
