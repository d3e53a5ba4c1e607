import { type Encoding, resolveTransfer } from '@isochip/core'
import type { Frame } from '../frame/frame.ts'
import { lightTables } from './lightTables.ts'
import { lightsOf } from './patchLight.ts'

/**
 * Linear light of every sample of a frame, in the camera's primaries, interleaved like the samples. What the frame's
 * codes stand for stays known with the curve, for the next frame.
 */
export function frameLight(frame: Frame, { range, spec }: Encoding): Float64Array {
  const pixels = frame.width * frame.height
  // All pixels as one run: where rows begin does not matter.
  const whole = Int32Array.of(0, 0, pixels)
  return lightsOf(
    frame.data,
    pixels,
    whole,
    pixels,
    lightTables(frame, range, resolveTransfer(spec.transfer)),
  )
}
