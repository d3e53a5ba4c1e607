import type { Vec3 } from '@isochip/core'
import { channels } from './referenceTones.ts'

/** What a cell of a lattice looks like in the working image. */
export interface CellColour {
  readonly rgb: Vec3
  /** Standard deviation within the cell beyond that of its noise, the largest of the channels'. */
  readonly sd: number
  /** Which channels clip. */
  readonly clipped: readonly [boolean, boolean, boolean]
  /** It lies out of the picture: nothing is known of it. */
  readonly missing?: true
  /** What shows at the cell's corners, between the patches; none where it is out of the picture. */
  readonly board?: () => BoardAbout | undefined
  /** Change of lightness over one column and one row of the lattice, as it is within the cell. */
  readonly slope?: readonly [number, number]
}

export interface BoardAbout {
  /** Lightness where the gaps cross. */
  readonly level: number
  /** How far that is from the mean of the four cells that meet there: nothing where patches touch. */
  readonly step: number
}

/** The cells' colours, as the many fits to them read them. */
export interface SeenColours {
  /** Red, green, blue of one cell after the other. */
  readonly rgb: Float64Array
  /** The channels of each cell that clip, a bit each. */
  readonly clipped: Uint8Array
  readonly missing: Uint8Array
}

export function seenColours(cells: readonly CellColour[]): SeenColours {
  const count = cells.length
  const rgb = new Float64Array(3 * count)
  const clipped = new Uint8Array(count)
  const missing = new Uint8Array(count)
  for (let k = 0; k < count; k++) {
    const cell = cells[k]!
    for (const c of channels) {
      rgb[3 * k + c] = cell.rgb[c]
      if (cell.clipped[c]) clipped[k]! |= 1 << c
    }
    if (cell.missing) missing[k] = 1
  }
  return { rgb, clipped, missing }
}
