import { setupNames } from '../fit/matchReadings.ts'
import type { Show, ShowCamera, ShowPlace } from './show.ts'

/** A part of a show that needs nothing of the others. */
export interface ShowPart {
  /** Its setups, in the order of the show. */
  readonly setups: readonly string[]
  readonly show: Show
}

/**
 * Splits a show into the smallest parts that can be matched apart, on whatever machines: a setup each, and a setup
 * whose matches are borrowed together with its borrowers. LUTs and match files of the parts are those of the whole, byte for
 * byte; a report knows of its own part only. Pure.
 */
export function splitShow(show: Show): ShowPart[] {
  const part = new Map(setupNames(show).map((setup) => [setup, setup]))
  for (const { shots } of show.cameras) {
    for (const shot of shots) {
      if (shot.kind !== 'borrowed') continue
      const [from, to] = [part.get(shot.setup), part.get(shot.borrow)]
      if (to === undefined) continue
      for (const [setup, of] of part) if (of === from) part.set(setup, to)
    }
  }
  return [...new Set(part.values())].map((name) => {
    const setups = [...part].filter(([, of]) => of === name).map(([setup]) => setup)
    return { setups, show: withSetups(show, new Set(setups)) }
  })
}

/** A show with these setups alone. All cameras stay, since one of them may be the target; only their shots go. */
export function withSetups(show: Show, setups: ReadonlySet<string>): Show {
  const places: Record<string, ShowPlace> = {}
  const cameras = show.cameras.map((camera, index): ShowCamera => {
    const shots = camera.shots.flatMap((shot, old) => (setups.has(shot.setup) ? [{ shot, old }] : []))
    for (const [now, { old }] of shots.entries()) {
      const from = `cameras[${index}].shots[${old}]`
      for (const [path, place] of Object.entries(show.places ?? {}))
        if (path.startsWith(from)) places[`cameras[${index}].shots[${now}]${path.slice(from.length)}`] = place
    }
    return { ...camera, shots: shots.map(({ shot }) => shot) }
  })
  for (const [path, place] of Object.entries(show.places ?? {}))
    if (!path.includes('.shots[')) places[path] = place
  return { ...show, cameras, ...(show.places === undefined ? {} : { places }) }
}
