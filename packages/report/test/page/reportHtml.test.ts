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

  it('counts the cautions of a match in its line, and leads to them', () => {
    const page = reportHtml(inventedShow())
    expect(page).toContain('<a href=#s0c1-cautions>1 caution</a>')
    expect(page).toContain('<div class=warn id=s0c1-cautions>')
    // The target has none.
    expect(page).not.toContain('s0c0-cautions')
  })

  it('names what could not be made, before everything else', () => {
    const failed = [{ camera: 'pole', setup: 'rain', message: 'no chart <was> found' }]
    const page = reportHtml({ ...inventedShow(), failed })
    expect(page).toContain('2 of 4 matches are out of tolerance; 1 more could not be made.')
    expect(page.slice(0, page.indexOf('<main'))).toContain('no chart &lt;was&gt; found')
  })

  it('has in the line of each match what is expected of other materials, and its levels', () => {
    const page = reportHtml(inventedShow())
    expect(page.match(/data-h="other materials">0\.87</g)).toHaveLength(4)
    expect(page.match(/data-h=levels>/g)).toHaveLength(4)
    // The invented chart stays between black and white, and the reference camera has no line of its own.
    expect(page.match(/data-h=levels>legal, /g)).toHaveLength(4)
    expect(page.match(/reference camera<\/span> <a href=#s[01]c0>/g)).toHaveLength(2)
  })

  it('names in words what a mark says: verdict, limit, what to set', () => {
    const page = reportHtml(inventedShow())
    for (const text of [
      'within tolerance',
      'out of tolerance',
      'sensor metamerism',
      'open 0.32 stop',
      'R-G +0.097',
    ]) {
      expect(page).toContain(text)
    }
  })
})
