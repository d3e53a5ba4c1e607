import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { reportHtml, type ShowReport } from '@isochip/report'
import { afterAll, beforeAll, expect, it } from 'vitest'
import {
  type Browser,
  launch,
  type OpenPage,
  openPage,
  seriousFaults,
} from '../../packages/report/test/support/openPage.ts'
import { consumer } from '../support/consumer.ts'
import { matchedShow } from './support/matchedShow.ts'

const chromium = consumer('chromium')

// What runs in the page is given as text: the project is not type-checked against a browser.
chromium.describe('the report page, in a real browser', () => {
  const folder = mkdtempSync(join(tmpdir(), 'isochip-page-'))
  const show = matchedShow(['wide', 'cross', 'crane'], ['day', 'evening'])
  let browser: Browser

  function written(report: ShowReport, name: string): string {
    const file = join(folder, name)
    writeFileSync(file, reportHtml(report))
    return pathToFileURL(file).href
  }
  const address = written(show, 'report.html')
  const small = written(matchedShow(['wide', 'cross'], ['day']), 'small.html')

  async function withPage(
    options: Parameters<typeof openPage>[2],
    body: (opened: OpenPage) => Promise<void>,
    at = address,
  ): Promise<void> {
    const opened = await openPage(browser, at, options)
    try {
      await body(opened)
    } finally {
      await opened.page.context().close()
    }
  }

  beforeAll(async () => {
    browser = await launch(chromium.command!)
  })
  afterAll(async () => {
    await browser?.close()
    rmSync(folder, { recursive: true, force: true })
  })

  it('says nothing on the console, asks the network for nothing, and every picture shows something', () =>
    withPage({}, async ({ page, faults, requests }) => {
      const pictures = (await page.evaluate(`
        [...document.querySelectorAll('svg.plot')].map((svg) => {
          const box = svg.getBoundingClientRect()
          const marks = [...svg.querySelectorAll('path,rect,circle,use,image,text')].filter((mark) => {
            const at = mark.getBoundingClientRect()
            return at.width + at.height > 0
          })
          return [svg.getAttribute('aria-label'), box.width > 50 && box.height > 20 && marks.length > 3]
        })`)) as [string, boolean][]
      expect(pictures.filter(([, shows]) => !shows)).toEqual([])
      // Of every setup: budget and evenness where the fit gives them; at least pairs, four changes, and per camera
      // patches and vectorscope, and five more for those that are matched.
      expect(pictures.length).toBeGreaterThan(2 * (1 + 2 + 3 * 2 + 2 * 5))
      expect(pictures.every(([label]) => label !== null && label !== '')).toBe(true)
      expect(faults).toEqual([])
      expect(requests).toEqual([])
    }))

  it.each(['light', 'dark'] as const)(
    'has no serious fault of accessibility, %s',
    (colorScheme) =>
      withPage(
        { colorScheme },
        async ({ page }) => {
          await page.evaluate(
            `document.querySelectorAll('details').forEach((d) => (d.open = true)); document.querySelectorAll('.camera').forEach((c) => (c.style.contentVisibility = 'visible'))`,
          )
          expect(await seriousFaults(page)).toEqual([])
        },
        small,
      ),
    120_000,
  )

  it('takes every name as text', () => {
    const hostile = (what: string) =>
      `</title></style></script><script>window.hacked='${what}'</script><img src=x onerror="window.hacked='${what}'">"'\`\u202e${what}`
    const named = matchedShow(['wide', hostile('camera')], [hostile('setup')], hostile('title'))
    const rename = (name: string) => (name === 'red' ? hostile('patch') : name)
    const report: ShowReport = {
      ...named,
      target: { camera: hostile('target') },
      inputs: [{ path: hostile('path'), sha256: hostile('sum') }],
      chart: {
        ...named.chart,
        title: hostile('chart'),
        patches: named.chart.patches.map((patch) => ({ ...patch, name: rename(patch.name) })),
      },
      setups: named.setups.map((setup) => ({
        ...setup,
        cameras: setup.cameras.map((camera) => ({
          ...camera,
          lut: { files: [hostile('file')], size: 33 },
          match: {
            ...camera.match,
            warnings: [{ code: 'x', message: hostile('warning') }],
            patches: camera.match.patches.map((patch) => ({
              ...patch,
              patch: rename(patch.patch),
              ...(patch.patch === 'cyan' && { excluded: hostile('reason') }),
            })),
          },
        })),
      })),
    }
    return withPage(
      {},
      async ({ page, faults, requests }) => {
        expect(await page.evaluate('window.hacked')).toBeUndefined()
        expect(await page.title()).toContain('<script>')
        expect(await page.evaluate('document.querySelectorAll("script").length')).toBe(1)
        expect(await page.evaluate('document.querySelectorAll("[onerror], img[src=x]").length')).toBe(0)
        const text = (await page.evaluate('document.body.textContent')) as string
        for (const what of [
          'title',
          'setup',
          'camera',
          'target',
          'patch',
          'path',
          'sum',
          'chart',
          'file',
          'warning',
          'reason',
        ]) {
          expect([what, text.includes(hostile(what))]).toEqual([what, true])
        }
        expect(faults).toEqual([])
        expect(requests).toEqual([])
      },
      written(report, 'hostile.html'),
    )
  })

  it('switches stages and cameras without any script', () =>
    withPage({ javaScriptEnabled: false }, async ({ page }) => {
      const camera = page.locator('#s0c1')
      const disc = camera.locator('.scope circle.mt').first()
      const ring = camera.locator('.scope circle.as').first()
      const shows = async () => [await ring.isVisible(), await disc.isVisible()]
      await camera.scrollIntoViewIfNeeded()
      expect(await shows()).toEqual([true, true])
      await page.locator('#stage-as').check()
      expect(await shows()).toEqual([true, false])
      await page.locator('#stage-mt').check()
      expect(await shows()).toEqual([false, true])
      await page.locator('#c1').uncheck()
      expect(await camera.isVisible()).toBe(false)
      expect(await page.locator('#s1c1').isVisible()).toBe(false)
      expect(await page.locator('#s0c2').isVisible()).toBe(true)
      // What cannot work without a script is not offered.
      expect(await page.locator('#patch').isVisible()).toBe(false)
    }))

  it('shows one patch in all pictures at once, by pointing and by keys', () =>
    withPage({}, async ({ page }) => {
      const index = show.chart.patches.findIndex(({ name }) => name === 'skin 2')
      const on = () =>
        page.evaluate(
          '[...new Set([...document.querySelectorAll("#s0c1 .on")].map((mark) => mark.dataset.p + " " + (mark.closest("svg")?.classList[1] ?? "table")))].sort()',
        )
      const everywhere = ['bars', 'fields', 'scope', 'table'].map((kind) => `${index} ${kind}`)
      const field = page.locator(`#s0c1 .fields [data-p="${index}"]`)
      await field.scrollIntoViewIfNeeded()
      await field.hover()
      expect(await on()).toEqual(expect.arrayContaining(everywhere))
      expect(await page.locator('#patch').inputValue()).toBe(String(index))
      await page.locator('h1').hover()
      expect(await on()).toEqual([])
      await page.locator('#patch').focus()
      await page.keyboard.type('skin 2')
      expect(await on()).toEqual(expect.arrayContaining(everywhere))
      await page.keyboard.press('Escape')
      expect(await on()).toEqual([])
    }))

  it.each([360, 768, 1280])('needs no sideways scrolling at %i pixels', (width) =>
    withPage({ viewport: { width, height: 800 } }, async ({ page }) => {
      expect(await page.evaluate('document.documentElement.scrollWidth')).toBe(width)
    }),
  )

  it('prints on A4 with no picture cut', () =>
    // 210 − 2 · 13 mm at 96 pixels an inch.
    withPage({ viewport: { width: 695, height: 1024 }, colorScheme: 'dark' }, async ({ page }) => {
      await page.emulateMedia({ media: 'print' })
      const sheet = { width: ((210 - 26) / 25.4) * 96, height: ((297 - 26) / 25.4) * 96 }
      const figures = (await page.evaluate(`
        [...document.querySelectorAll('figure')].map((figure) => {
          const { width, height, right } = figure.getBoundingClientRect()
          const picture = figure.querySelector('svg,img').getBoundingClientRect()
          return { width, height, right: Math.max(right, picture.right), breaks: getComputedStyle(figure).breakInside }
        })`)) as { width: number; height: number; right: number; breaks: string }[]
      expect(figures.length).toBeGreaterThan(20)
      for (const figure of figures) {
        expect(figure.breaks).toBe('avoid')
        expect(figure.height).toBeGreaterThan(60)
        expect(figure.height).toBeLessThan(sheet.height)
        expect(figure.right).toBeLessThanOrEqual(sheet.width + 1)
      }
      // Dark on the screen is still black on white on paper.
      expect(await page.evaluate('getComputedStyle(document.body).backgroundColor')).toBe(
        'rgb(255, 255, 255)',
      )
      const pdf = await page.pdf({ preferCSSPageSize: true })
      expect(pdf.subarray(0, 5).toString()).toBe('%PDF-')
      // One sheet at least for every camera and setup, and the first.
      const sheets = pdf.toString('latin1').match(/\/Type\s*\/Page\b(?!s)/g)!.length
      expect(sheets).toBeGreaterThanOrEqual(1 + 6)
    }))
})
