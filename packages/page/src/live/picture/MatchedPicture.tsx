import { useEffect, useRef } from 'preact/hooks'
import type { Camera } from '../../match/state.ts'
import type { LiveInput } from '../LiveInput.ts'

/** The running picture through the camera's LUT, right of the border. */
export function MatchedPicture({
  camera,
  live,
  border,
}: {
  readonly camera: Camera
  readonly live: LiveInput
  /** Share of the width that stays as it comes. */
  readonly border: number
}) {
  const canvas = useRef<HTMLCanvasElement>(null)
  useEffect(() => {
    if (canvas.current !== null) live.drawMatched(canvas.current.transferControlToOffscreen())
  }, [live])
  useEffect(() => {
    // Styles in attributes are against the page's security policy.
    if (canvas.current !== null) canvas.current.style.clipPath = `inset(0 0 0 ${100 * border}%)`
  }, [border])
  return (
    <canvas
      ref={canvas}
      class="matched-picture"
      hidden={!live.matched.value}
      role="img"
      aria-label={`Running picture of ${camera.id} through its LUT`}
    />
  )
}
