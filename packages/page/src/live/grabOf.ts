import { levelsOf } from './form/levelsOf.ts'
import type { Planes } from './form/planes.ts'
import { codesOf, type SignalForm } from './form/signalForm.ts'
import type { Grab } from './worker/liveMessages.ts'

/** A frame, or the mean of some, as a reading is made of it. */
export function grabOf(planes: Planes, form: SignalForm): Grab {
  const { width, height, levels } = levelsOf(planes, form)
  const { peak, clip } = codesOf(form.range)
  return {
    width,
    height,
    levels: new Blob([levels as Float32Array<ArrayBuffer>]),
    clip,
    step: 1 / peak / 2 ** (planes.bits - 8),
  }
}
