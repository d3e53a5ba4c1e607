import { useSignal } from '@preact/signals'
import { useEffect, useRef } from 'preact/hooks'
import { ScopeMarks } from '../../components/ScopeMarks.tsx'
import { scopeLayout } from '../../scopes/scopeLayout.ts'
import type { Judged, ReadShot } from '../messages.ts'
import { standardOf } from '../standardOf.ts'
import { cameras } from '../state.ts'
import { ask } from '../workers.ts'
import { scopeDots } from './scopeDots.ts'

interface StillScopesProps {
  readonly judged: Judged
  readonly own: NonNullable<ReadShot['frame']>
  readonly matched: ImageBitmap
  /** Of the reference camera, behind the matched frame: both in its encoding. */
  readonly reference?: ImageBitmap
}

/** Scopes of a frame, as shot or matched, made when they are first looked at. */
export function StillScopes({ judged, own, matched, reference }: StillScopesProps) {
  const open = useSignal(false)
  const of = useSignal<'as shot' | 'matched'>('matched')
  const canvas = useRef<HTMLCanvasElement>(null)
  const encoding = cameras.value.find(({ id }) => id === judged.camera)?.encoding ?? 'bt709'
  const range = typeof encoding === 'object' ? (encoding.range ?? 'full') : 'full'
  const isMatched = of.value === 'matched'
  const standard = isMatched ? judged.output : standardOf(encoding)
  useEffect(() => {
    if (!open.value) return
    let gone = false
    const draw = async () => {
      const picture = await createImageBitmap(isMatched ? matched : own.picture)
      const target = isMatched && reference !== undefined ? await createImageBitmap(reference) : undefined
      const made = await ask<'scopes'>(
        { kind: 'scopes', picture, range, standard, ...(target === undefined ? {} : { target }) },
        { transfer: target === undefined ? [picture] : [picture, target] },
      )
      if (!gone) canvas.current?.getContext('2d')?.drawImage(made, 0, 0)
    }
    // Without scopes the figures stand all the same.
    draw().catch(() => undefined)
    return () => {
      gone = true
    }
  }, [open.value, isMatched, own, matched, reference, range, JSON.stringify(standard)])
  return (
    <details
      onToggle={({ currentTarget }) => {
        open.value = currentTarget.open
      }}
    >
      <summary>Scopes</summary>
      {open.value && (
        <figure class="scope-strip">
          <canvas
            // A canvas that was drawn on keeps the other picture until the new one is there.
            key={of.value}
            ref={canvas}
            width={scopeLayout.width}
            height={scopeLayout.height}
            role="img"
            aria-label={`Parade, waveform and vectorscope of ${judged.camera}, ${of.value}`}
          />
          <ScopeMarks
            standard={standard}
            range={range}
            dots={scopeDots(judged, own.areas, own.width, isMatched)}
          />
          <figcaption>
            <label>
              scopes of the frame{' '}
              <select
                value={of.value}
                onChange={({ currentTarget }) => {
                  of.value = currentTarget.value as 'matched'
                }}
              >
                <option>as shot</option>
                <option>matched</option>
              </select>
            </label>{' '}
            <span>
              {standard.name}; dots: patches, rings: where they should be
              {isMatched && reference !== undefined && '; behind, in ochre: the reference camera'}
            </span>
          </figcaption>
        </figure>
      )}
    </details>
  )
}
