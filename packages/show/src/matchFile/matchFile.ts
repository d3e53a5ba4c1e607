import type { Shape } from '@isochip/core/shapes'
import type * as shape from './matchShape.ts'

/** Where a match comes from: enough to tell whether it still belongs to its frames, nothing that time changes. */
export interface Provenance extends Shape<typeof shape.provenance> {}

/**
 * In which space each colour of a match file is: all are linear light, in the primaries of the field that is named. The
 * model takes light in the primaries of `sourceEncoding`; the `source` of a patch is that same light after its conversion to
 * the working primaries, so that it stands beside `target` and `matched`.
 */
export const colourSpaces = {
  model: { from: 'sourceEncoding', to: 'working' },
  patches: { source: 'working', target: 'working', matched: 'working' },
} as const

/**
 * One camera in one setup: everything needed to bake its LUT again, or to put the match to work elsewhere. Numbers
 * have all their digits. Linear light x in the primaries of `sourceEncoding`, y in `working`: y = M · (g ∘ (x + l)) where
 * `kind` is `fitted`, y = M · x of the reference camera.
 */
export type MatchFile = Shape<typeof shape.matchShape>

/** The text of a match file: lists of numbers on one line each, so that a matrix looks like one. */
export function matchFileText(file: MatchFile): string {
  const text = JSON.stringify(file, null, 2)
  return `${text.replace(/\[\s+(-?\d[^[\]{}"]*?)\s+\]/g, (_, inner: string) => `[${inner.replace(/\s+/g, ' ')}]`)}\n`
}
