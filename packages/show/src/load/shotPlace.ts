import { given, type Place } from '@isochip/core'
import type { LoadedShow } from './loadShow.ts'

/** Where a shot stands in the show file. */
export function shotPlace({ plan, file }: LoadedShow, camera: number, shot: number): Place {
  const at = plan.show.places?.[`cameras[${camera}].shots[${shot}]`]
  return { ...given({ file }), ...at }
}
