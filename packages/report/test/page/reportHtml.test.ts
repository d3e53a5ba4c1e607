import { describe, expect, it } from 'vitest'
import { reportHtml } from '../../src/index.ts'
import { inventedShow } from '../support/inventedShow.ts'

const picture = (data: string) => ({ uri: `data:image/png;base64,${data}`, width: 48, height: 27 })

describe('reportHtml', () => {
  it('is the same bytes for the same input', () => {
    expect(reportHtml(inventedShow())).toBe(reportHtml(inventedShow()))
  })

  it('holds the target’s frame once, however many cameras show it', () => {
    const report = inventedShow()
    const setups = report.setups.map((setup) => ({
      ...setup,
      cameras: setup.cameras.map((camera, i) => ({
        ...camera,
        pictures: { before: picture(`before${i}`), after: picture(`after${i}`), target: picture('target') },
      })),
    }))
    const page = reportHtml({ ...report, setups })
    expect(page.split('base64,target').length - 1).toBe(1)
    expect(page.split('href=#shared-').length - 1).toBeGreaterThan(3)
    // The target itself has nothing to compare.
    expect(page).not.toContain('base64,before0')
  })

  it('leaves pictures out that would have to be fetched', () => {
    const report = inventedShow()
    const setups = report.setups.map((setup) => ({
      ...setup,
      cameras: setup.cameras.map((camera) => ({
        ...camera,
        pictures: { sampling: { ...picture(''), uri: 'x.png' } },
      })),
    }))
    expect(reportHtml({ ...report, setups })).not.toContain('x.png')
  })

  it('names in words what a mark says: verdict, limit, what to set', () => {
    const page = reportHtml(inventedShow())
    for (const text of [
      'within tolerance',
      'out of tolerance',
      'spectral difference',
      'open 0.32 stop',
      'R-G −0.097',
    ]) {
      expect(page).toContain(text)
    }
  })
})
