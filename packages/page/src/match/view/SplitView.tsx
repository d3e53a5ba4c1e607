import { useComputed, useSignal } from '@preact/signals'
import { useEffect, useRef } from 'preact/hooks'
import type { Judged } from '../messages.ts'
import { cameras, choices, referenceId } from '../state.ts'
import { ask } from '../workers.ts'
import { StillScopes } from './StillScopes.tsx'
import { useSeen } from './useSeen.ts'

type Beside = 'as shot' | 'reference camera'

/** A frame through its LUT, beside the frame as shot or that of the reference camera, with a border that is dragged. */
export function SplitView({ judged }: { readonly judged: Judged }) {
  const { camera, setup } = judged
  const canvas = useRef<HTMLCanvasElement>(null)
  const after = useSignal<ImageBitmap | undefined>(undefined)
  const border = useSignal(0.5)
  const beside = useSignal<Beside>('as shot')
  const frameOf = (id: string | undefined) =>
    cameras.value.find((one) => one.id === id)?.shots.find((shot) => shot.setup === setup)?.read?.frame
  // Drawn anew when these frames change, and not with whatever else a camera gets.
  const own = useComputed(() => frameOf(camera)).value
  const reference = useComputed(() =>
    choices.value.target === 'camera' ? frameOf(referenceId.value) : undefined,
  ).value

  // Of two hundred cameras a few are looked at.
  const seen = useSeen(canvas, own !== undefined)

  useEffect(() => {
    let gone = false
    if (own === undefined || !seen) return
    createImageBitmap(own.picture)
      .then((picture) =>
        ask<'preview'>({ kind: 'preview', lut: judged.lut, picture }, { transfer: [picture] }),
      )
      .then(
        (made) => {
          if (!gone) after.value = made
        },
        // Without a preview the figures stand all the same.
        () => undefined,
      )
    return () => {
      gone = true
    }
  }, [own, judged, seen])

  useEffect(() => {
    const target = canvas.current
    if (target === null || own === undefined || after.value === undefined) return
    const { width, height } = own.picture
    target.width = width
    target.height = height
    const context = target.getContext('2d')!
    const at = Math.round(border.value * width)
    const left = beside.value === 'as shot' || reference === undefined ? own.picture : reference.picture
    context.drawImage(left, 0, 0, width, height)
    context.drawImage(after.value, at, 0, width - at, height, at, 0, width - at, height)
    context.fillStyle = '#fff'
    context.fillRect(at - 1, 0, 2, height)
  }, [after.value, border.value, beside.value, own, reference])

  if (own === undefined) return null
  return (
    <figure class="split">
      <canvas
        ref={canvas}
        width={own.picture.width}
        height={own.picture.height}
        aria-busy={after.value === undefined}
        role="img"
        aria-label={`${camera}, ${setup}: left ${beside.value}, right matched`}
        onPointerDown={(event) => event.currentTarget.setPointerCapture(event.pointerId)}
        onPointerMove={(event) => {
          if (!event.currentTarget.hasPointerCapture(event.pointerId)) return
          const box = event.currentTarget.getBoundingClientRect()
          border.value = Math.min(Math.max((event.clientX - box.left) / box.width, 0), 1)
        }}
      />
      {after.value !== undefined && (
        <>
          <figcaption>
            <label>
              left:{' '}
              <select
                value={beside.value}
                onChange={({ currentTarget }) => {
                  beside.value = currentTarget.value as Beside
                }}
              >
                <option>as shot</option>
                {reference !== undefined && <option>reference camera</option>}
              </select>
            </label>
            <label class="border">
              <span class="out-of-sight">Border between the two</span>
              <input
                type="range"
                min="0"
                max="1"
                step="0.01"
                value={border.value}
                onInput={({ currentTarget }) => {
                  border.value = Number(currentTarget.value)
                }}
              />
            </label>
            <span>right: matched</span>
          </figcaption>
          <StillScopes
            judged={judged}
            own={own}
            matched={after.value}
            {...(reference === undefined ? {} : { reference: reference.picture })}
          />
        </>
      )}
    </figure>
  )
}
