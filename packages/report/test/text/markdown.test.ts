import { describe, expect, it } from 'vitest'
import { markdown } from '../../src/index.ts'
import { fittedCamera, inventedShow } from '../support/inventedShow.ts'

describe('markdown', () => {
  it('has one table row a camera with the figures before and after', () => {
    const report = inventedShow()
    const { before, after } = fittedCamera(report.setups[0]!, 'crane').match.summary
    const row = markdown(report)
      .split('\n')
      .find((line) => line.startsWith('| crane'))!
    expect(row).toContain('**out of tolerance**')
    expect(row).toContain(`${before.mean.toFixed(2)} → ${after.mean.toFixed(2)}`)
    expect(row.split('|')).toHaveLength(8)
    expect(markdown(report)).toMatch(/^- crane: .* Fit: lift-gain-matrix, chosen by auto\.$/m)
  })

  it('names what could not be made', () => {
    const failed = [{ camera: 'a*b', setup: 'day', message: 'no chart' }]
    expect(markdown({ ...inventedShow(), failed })).toContain('- could not be made: day, a\\*b: no chart\n')
  })

  it('takes names as text', () => {
    const text = markdown(inventedShow({ cross: 'a|b\n# <img src=x> [x](y) @all https://x :x:' }))
    const row = text.split('\n').find((line) => line.startsWith('| a'))!
    expect(
      row.startsWith('| a\\|b�\\# &lt;img src=x&gt; \\[x\\]\\(y\\) &#64;all https&#58;//x &#58;x: |'),
    ).toBe(true)
    expect(text).not.toContain('<img')
  })
})
