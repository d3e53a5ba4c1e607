import { builtinChart, resolveEncoding, resolvePrimaries, type Target, targetFromCamera } from '@isochip/core'
import { drawStudio, type StudioCameraSpec, studioCamera } from '@isochip/synthetic'

/** What the simulated studios of line-up tests have in common. */
export const chart = builtinChart('chart24')
export const encoding = resolveEncoding('bt709')
export const working = resolvePrimaries('bt709')

/** A camera of a simulated studio, and what it is lined up to: the studio's reference camera. */
export function lineUpSeat(number: number): { readonly camera: StudioCameraSpec; readonly target: Target } {
  const { camera, reference } = drawStudio(number)
  return {
    camera,
    target: targetFromCamera(chart, studioCamera(reference, chart).shoot(), encoding, working),
  }
}
