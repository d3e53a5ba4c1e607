import stringWidth from 'string-width'
import { describe, expect, it } from 'vitest'
import { residualTable } from '../../src/index.ts'
import { fittedCamera, inventedShow } from '../support/inventedShow.ts'

const esc = String.fromCharCode(27)
const uncoloured = (text: string) => text.replaceAll(new RegExp(`${esc}\\[\\d+m`, 'g'), '')

describe('residualTable', () => {
  const long = inventedShow({
    cross: '右側のカメラ'.repeat(12),
    crane: 'a-camera-with-a-name-that-goes-on'.repeat(4),
  })

  it.each([60, 80, 132])(
    'fits %i columns, plain and coloured, with every patch, whatever the names',
    (width) => {
      for (const report of [inventedShow(), long]) {
        for (const colour of [false, true]) {
          const lines = residualTable(report, { width, colour, patches: true }).split('\n')
          // `stringWidth` leaves ANSI colours out of its count.
          expect(Math.max(...lines.map((line) => stringWidth(line)))).toBeLessThanOrEqual(width)
        }
      }
    },
  )

  it('says the same with colour as without', () => {
    const report = inventedShow()
    const coloured = residualTable(report, { colour: true })
    expect(coloured).toContain(`${esc}[31m`)
    expect(uncoloured(coloured)).toBe(residualTable(report))
    expect(residualTable(report)).not.toContain(esc)
  })

  it('states the verdict, the figures of all stages, the limit and what to set', () => {
    const report = inventedShow()
    const { summary } = fittedCamera(report.setups[0]!, 'cross').match
    const text = residualTable(report)
    expect(text).toContain('cross  within tolerance')
    expect(text).toContain('crane  out of tolerance')
    for (const figures of [summary.before, summary.balanced, summary.after]) {
      expect(text).toMatch(
        new RegExp(`${figures.mean.toFixed(2)} +${figures.p95.toFixed(2)} +${figures.max.toFixed(2)} `),
      )
    }
    expect(text).toContain('main residual: sensor metamerism, 62 %')
    expect(text).toContain('fit: lift-gain-matrix, chosen by auto')
    // The invented camera is darker by log2(1/0.8).
    expect(text).toMatch(/on set: pedestal +R .* of the signal;/)
    expect(text).toMatch(/ {10}exposure +open 0\.32 stop \(\+1\.9 dB\) → ΔE00 3\.40/)
    expect(text.trimEnd().split('\n').at(-1)).toBe('2 of 4 matches are out of tolerance.')
  })

  it('lets no name move the cursor or turn the writing round', () => {
    const text = residualTable(inventedShow({ cross: `x${esc}[2J\r\u202ey\n` }))
    expect(text).not.toContain(esc)
    expect(text).not.toMatch(/[\r\u202e]/)
    expect(text).toContain('x�[2J��y�')
  })
})
