import type { ScopeDot } from '../../components/ScopeMarks.tsx'
import type { Area } from '../area.ts'
import type { Judged } from '../messages.ts'

/** The patches of a judged camera on the scopes, as shot or matched; across the frame where its areas are known. */
export function scopeDots(
  judged: Judged | undefined,
  areas: readonly Area[],
  width: number,
  matched: boolean,
): readonly ScopeDot[] {
  const places = new Map(
    areas.map(({ patch, quad }) => [patch, quad.reduce((sum, [x]) => sum + x, 0) / quad.length / width]),
  )
  return (judged?.dots ?? []).map(({ patch, shot, shotAim, matched: after, matchedAim }) => {
    const across = places.get(patch)
    return {
      patch,
      is: matched ? after : shot,
      aim: matched ? matchedAim : shotAim,
      ...(across === undefined ? {} : { across }),
    }
  })
}
