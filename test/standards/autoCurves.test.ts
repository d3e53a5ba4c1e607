import { describe, expect, it } from 'vitest'
import { autoLeftOut, autoOnCurves, cutAtBlack } from '../support/autoOnCurves.ts'
import { curveFamilies } from '../support/curveTasks.ts'
import { mean } from '../support/judgeTask.ts'
import { wholeTask } from '../support/wholeTask.ts'

// Measured sensors of Jiang and others (2013), CIE illuminants, the chart of ISO 17321-1, judged on the real materials of
// CIE 224:2017; the curves are those of published standards, and wrong ones made from them (test/support/curveTasks.ts).
const count = wholeTask ? 60 : 6

describe('auto, whatever the curve', () => {
  it.each(curveFamilies)(
    '%s: no more than a fiftieth above the matrix on materials beside the chart',
    (family) => {
      const ratios = autoOnCurves(family, count, 70_000)
      expect(ratios.length).toBeGreaterThan(0.9 * count)
      expect(Math.max(...ratios)).toBeLessThan(1.02)
    },
  )

  it('neither where patches are left out that the recording cuts at black: their spectra are known', () => {
    const ratios = autoOnCurves('right', count, 5000, cutAtBlack)
    expect(ratios).toHaveLength(count)
    expect(Math.max(...ratios)).toBeLessThan(1.02)
    expect(mean(ratios)).toBeLessThan(0.96)
  })

  // The same sensors and curves: 1011 is a toe that crushes the red of cyan, 5000 and 5001 record cyan below their black.
  it.each([
    ['toe', 1011],
    ['right', 5000],
    ['right', 5001],
    ['range', 5011],
  ] as const)('nor on patches left out, everything fitted and chosen anew: %s, from %i', (family, from) => {
    const ratios = autoLeftOut(family, wholeTask ? 24 : 1, from)
    expect(ratios.length).toBeGreaterThan(0)
    expect(Math.max(...ratios)).toBeLessThan(1.02)
  })

  it('is worth it where the curve is right', () => {
    expect(mean(autoOnCurves('right', 2 * count, 72_000))).toBeLessThan(0.97)
  })
})
