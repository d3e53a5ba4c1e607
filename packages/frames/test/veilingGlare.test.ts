import { describe, expect, it } from 'vitest'
import type { CellColour } from '../src/find/place/cellColour.ts'
import { veilingGlare } from '../src/find/place/veilingGlare.ts'

const columns = 6
const rows = 4
/** Patches of unlike lightness: 0.1 … 0.8, no two neighbours alike. */
const patch = (k: number) => 0.1 + ((k * 7) % 24) / 33

interface Look {
  /** Light that lies over a place, in columns and rows. */
  readonly veil: (column: number, row: number) => number
  readonly board?: number
  readonly clips?: (k: number) => boolean
}

/** Cells of a chart under a veil, with the board and the slopes that a picture of it would show. */
function cellsUnder({ veil, board, clips }: Look) {
  const cells = Array.from({ length: columns * rows }, (_, k): CellColour => {
    const level = patch(k) + veil(k % columns, Math.floor(k / columns))
    const clipped = clips?.(k) ?? false
    const seen = board ?? patch(k)
    return {
      rgb: [level, level, level],
      sd: 0,
      clipped: [clipped, clipped, clipped],
      board: () => ({
        level: seen + veil(k % columns, Math.floor(k / columns)),
        step: board === undefined ? 0 : Math.abs(board - 0.45),
      }),
    }
  })
  const h = 0.21
  const slopes = cells.map((_, k): readonly [number, number] => {
    const x = k % columns
    const y = Math.floor(k / columns)
    return [(veil(x + h, y) - veil(x - h, y)) / (2 * h), (veil(x, y + h) - veil(x, y - h)) / (2 * h)]
  })
  return { cells, slopes }
}

const veilUnder = (look: Look) => {
  const { cells, slopes } = cellsUnder(look)
  return veilingGlare(cells, columns, slopes)
}

/** A lamp's mirror image, a quarter of the chart wide. */
const lamp = (x: number, y: number) => 0.4 * Math.exp(-(((x - 1) / 2) ** 2) - ((y - 2) / 2) ** 2)

const lessMedian = (of: (x: number, y: number) => number) => {
  const all = Array.from({ length: columns * rows }, (_, k) => of(k % columns, Math.floor(k / columns)))
  const middle = [...all].sort((a, b) => a - b)[Math.floor(0.5 * (all.length - 1))]!
  return all.map((one) => one - middle)
}

describe('veilingGlare', () => {
  it('takes it from the board where there is one', () => {
    const veil = veilUnder({ veil: lamp, board: 0.03 })
    lessMedian(lamp).forEach((expected, k) => {
      expect(veil?.level[k]).toBeCloseTo(expected, 12)
    })
  })

  it('takes it from the patches themselves where these touch: a ramp exactly', () => {
    const ramp = (x: number, y: number) => 0.05 * x - 0.03 * y
    const veil = veilUnder({ veil: ramp })
    lessMedian(ramp).forEach((expected, k) => {
      // The sweeps have converged.
      expect(veil?.level[k]).toBeCloseTo(expected, 6)
    })
  })

  it('takes a lamp from touching patches to a tenth of its height', () => {
    const veil = veilUnder({ veil: lamp })
    lessMedian(lamp).forEach((expected, k) => {
      expect(Math.abs(veil!.level[k]! - expected)).toBeLessThan(0.04)
    })
  })

  it('is none where the light is even, whatever the patches are', () => {
    expect(veilUnder({ veil: () => 0.2, board: 0.03 })).toBeUndefined()
    expect(veilUnder({ veil: () => 0.2 })).toBeUndefined()
  })

  it('counts clipped patches as lost where the veil is strong, not where it is a white patch that clips', () => {
    const under = (k: number) => lamp(k % columns, Math.floor(k / columns)) > 0.3
    const veil = veilUnder({ veil: lamp, board: 0.03, clips: (k) => under(k) || k === 5 })
    expect([...veil!.lost.keys()].filter((k) => veil!.lost[k] === 1)).toEqual(
      [...veil!.lost.keys()].filter(under),
    )
  })
})
