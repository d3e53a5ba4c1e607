import { builtinCharts, type Vec3 } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import type { CellColour } from '../src/find/place/cellColour.ts'
import { colourFit } from '../src/find/place/colourFit.ts'
import { explainedByAll } from '../src/find/place/explainedByAll.ts'
import { referenceColours } from '../src/find/place/referenceColours.ts'
import { referenceTones } from '../src/find/place/referenceTones.ts'
import { normalNumbers } from './support/scene.ts'

const cellsOf = (colours: readonly Vec3[], clips: readonly boolean[] = [false, false, false]) =>
  colours.map((rgb): CellColour => ({ rgb, sd: 0, clipped: [clips[0]!, clips[1]!, clips[2]!] }))

describe.each(builtinCharts.map((chart) => [chart.id, chart] as const))('colours of %s', (_, chart) => {
  const [, reference] = referenceTones(referenceColours(chart)!)
  const tone = (k: number): Vec3 => [0, 1, 2].map((c) => reference!.tones[3 * k + c]!) as unknown as Vec3
  /** An affine change of colour, and noise over it. */
  const shot = (noise: number, start: number) => {
    const normal = normalNumbers(start)
    return cellsOf(
      chart.patches.map((_patch, k): Vec3 => {
        const [r, g, b] = tone(k)
        return [
          0.1 + 0.7 * r + 0.1 * g + noise * normal(),
          0.05 + 0.05 * r + 0.6 * g + 0.1 * b + noise * normal(),
          0.02 + 0.2 * g + 0.5 * b + noise * normal(),
        ]
      }),
    )
  }

  it('are explained in full by an affine change', () => {
    expect(colourFit(shot(0, 1), reference!).whole).toBeGreaterThan(0.9999)
    expect(explainedByAll(shot(0, 1), reference!)).toBeGreaterThan(0.9999)
  })

  it('are explained by projection as by the normal equations, for any noise, and as a negative not at all', () => {
    for (const noise of [0.02, 0.1, 0.5]) {
      for (let start = 1; start <= 20; start++) {
        const cells = shot(noise, start)
        // The ridge of the normal equations is a millionth of the number of cells.
        expect(explainedByAll(cells, reference!)).toBeCloseTo(colourFit(cells, reference!).whole, 4)
      }
    }
    const negative = shot(0, 1).map((cell) => ({
      ...cell,
      rgb: cell.rgb.map((v) => 1 - v) as unknown as Vec3,
    }))
    expect(explainedByAll(negative, reference!)).toBe(0)
    expect(colourFit(negative, reference!).whole).toBe(0)
  })
})
