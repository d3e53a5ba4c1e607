import type { OnSet, Vec3 } from '@isochip/core'
import type { Shape } from '@isochip/core/shapes'
import type { changedPart, setupChange } from './data/reportShape.ts'
import { type FittedCamera, isFitted, type ShowReport } from './showReport.ts'

export type ChangedPart = Shape<typeof changedPart>

/** How a camera stands to the target in one setup, against how it stood in its first. */
export interface SetupChange extends Shape<typeof setupChange> {}

/**
 * Beyond these a change is worth a look: a third of a stop, a twentieth of a gain, half a percent of black, a twentieth
 * of a matrix term. Common practice, no source.
 */
export const changeLimits = { stops: 1 / 3, gain: 0.05, black: 0.5, term: 0.05 } as const

/**
 * What changes between a camera's setups: a filter that was left in, a white balance that somebody pressed, another
 * matrix in the menu. Each setup is compared with the camera's first; light of another kind changes white balance and
 * matrix too, so this points at what to look at and is no verdict.
 *
 * Left out: the reference camera, borrowed matches, and setups in which the camera's encoding is another (a measured curve).
 */
export function setupChanges({ setups }: ShowReport): readonly SetupChange[] {
  const all = setups.flatMap(({ cameras }) => cameras).filter(isFitted)
  const ids = [...new Set(all.map(({ camera }) => camera))]
  return ids.flatMap((id) => {
    const own = all.filter(({ camera, borrowed }) => camera === id && borrowed === undefined)
    const [first, ...others] = own
    if (first === undefined) return []
    const encoding = JSON.stringify(first.sourceEncoding)
    return others
      .filter(({ sourceEncoding }) => JSON.stringify(sourceEncoding) === encoding)
      .map((other) => change(first, other))
  })
}

function change(first: FittedCamera, other: FittedCamera): SetupChange {
  // What a camera needs to come back is the reverse of what has happened to it.
  const was = first.match.onSet
  const is = other.match.onSet
  const exposure = was.exposure - is.exposure
  const redOverGreen = was.whiteBalance.redOverGreen / is.whiteBalance.redOverGreen
  const blueOverGreen = was.whiteBalance.blueOverGreen / is.whiteBalance.blueOverGreen
  const lifted = (c: 0 | 1 | 2) => was.blackBalance[c] - is.blackBalance[c]
  const black: Vec3 = [lifted(0), lifted(1), lifted(2)]
  const term = (name: keyof OnSet['matrix']) => is.matrix[name] - was.matrix[name]
  const matrix = {
    rg: term('rg'),
    rb: term('rb'),
    gr: term('gr'),
    gb: term('gb'),
    br: term('br'),
    bg: term('bg'),
  }
  const { stops, gain, black: percent, term: most } = changeLimits
  const beyond: [ChangedPart, boolean][] = [
    ['exposure', Math.abs(exposure) > stops],
    ['white balance', [redOverGreen, blueOverGreen].some((ratio) => Math.abs(ratio - 1) > gain)],
    ['black', black.some((level) => Math.abs(level) > percent)],
    ['matrix', Object.values(matrix).some((value) => Math.abs(value) > most)],
  ]
  return {
    camera: first.camera,
    from: first.setup,
    to: other.setup,
    exposure,
    whiteBalance: {
      redOverGreen,
      blueOverGreen,
      mired: was.whiteBalance.mired - is.whiteBalance.mired,
    },
    black,
    matrix,
    notable: beyond.filter(([, yes]) => yes).map(([part]) => part),
  }
}
