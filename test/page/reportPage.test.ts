import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { type CameraReport, cameraPairs, reportHtml, type ShowReport } from '@isochip/report'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { cameraScope } from '../../packages/report/src/page/cameraFigures.ts'
import { chartCells } from '../../packages/report/src/plots/camera/chartCells.ts'
import { greyLevelScales, greySteps, stepLevel } from '../../packages/report/src/plots/camera/greyScale.ts'
import { residualScale } from '../../packages/report/src/plots/camera/residualBars.ts'
import { scopeReach, vectorscopeScales } from '../../packages/report/src/plots/camera/vectorscope.ts'
import { fittedSignals } from '../../packages/report/src/signal/patchSignals.ts'
import { fittedCamera } from '../../packages/report/test/support/inventedShow.ts'
import {
  type Browser,
  launch,
  type OpenPage,
  openPage,
  seriousFaults,
} from '../../packages/report/test/support/openPage.ts'
import { consumer } from '../support/consumer.ts'
import { matchedShow } from './support/matchedShow.ts'
import { printed } from './support/printed.ts'

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
        cameras: setup.cameras.map((camera): CameraReport => {
          const { match } = camera
          const hostilePatch = <T extends { readonly patch: string }>(patch: T) => ({
            ...patch,
            patch: rename(patch.patch),
            ...(patch.patch === 'cyan' && { excluded: hostile('reason') }),
          })
          const warnings = [{ code: 'patch-outlier' as const, message: hostile('warning') }]
          return {
            ...camera,
            lut: { files: [hostile('file')], size: 33 },
            match:
              match.kind === 'fitted'
                ? { ...match, warnings, patches: match.patches.map(hostilePatch) }
                : { ...match, warnings, patches: match.patches.map(hostilePatch) },
          }
        }),
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

  it('draws every mark where its numbers say, with the style as with the markup', () =>
    withPage({}, async ({ page, faults }) => {
      const camera = fittedCamera(show.setups[0]!, show.setups[0]!.cameras[1]!.camera)
      const article = page.locator('#s0c1')
      await article.scrollIntoViewIfNeeded()
      const patches = fittedSignals(camera.match.patches, show.chart, show.working)
      /** Boxes of what a selector finds in one picture of the camera, in the units of the picture. */
      const boxes = async (kind: string, selector: string) =>
        (await page.evaluate(`{
          const svg = document.querySelector('#s0c1 svg.plot.${kind}')
          const back = svg.getScreenCTM().inverse()
          const to = (x, y) => ({ x: back.a * x + back.e, y: back.d * y + back.f })
          const found = [...svg.querySelectorAll('${selector}')].map((mark) => {
            const { left, top, right, bottom } = mark.getBoundingClientRect()
            return { from: to(left, top), to: to(right, bottom) }
          })
          found
        }`)) as { from: { x: number; y: number }; to: { x: number; y: number } }[]
      const middle = ({ from, to }: Awaited<ReturnType<typeof boxes>>[number]) => ({
        x: (from.x + to.x) / 2,
        y: (from.y + to.y) / 2,
      })
      // A tenth of a unit is how finely pictures are written, and boxes on the screen are good to a sixth of a pixel.
      const near = (a: number, b: number) => Math.abs(a - b) < 0.4

      const worst = patches.find(({ name }) => name === camera.match.summary.after.worst)!
      const of = `[data-p="${worst.index}"]`

      // Vectorscope: open circle as shot, filled matched, plus target; the boxes stand round the 75 % bars.
      const all = show.setups.flatMap((setup) => setup.cameras.map((one) => cameraScope(one, show)))
      const scope = vectorscopeScales(scopeReach(all))
      for (const [mark, { cb, cr }] of [
        ['circle.as', worst.ycbcr.source],
        ['circle.mt', worst.ycbcr.matched],
        ['use', worst.ycbcr.target],
      ] as const) {
        const at = middle((await boxes('scope', `${of} ${mark}`))[0]!)
        expect([mark, near(at.x, scope.x(cb)) && near(at.y, scope.y(cr))]).toEqual([mark, true])
      }

      // Bars: the worst patch is first, its bar ends at its ΔE00, its ring stands where it was.
      const bars = residualScale(patches, show.tolerance)
      const { before, after } = worst.result.dE00
      const [bar] = await boxes('bars', `${of} rect.mt`)
      expect(near(bar!.from.x, bars(0)) && near(bar!.to.x, bars(after))).toBe(true)
      expect((await boxes('bars', 'rect.mt')).every(({ from }) => from.y >= bar!.from.y)).toBe(true)
      const rings = await boxes('bars', `${of} circle`)
      if (rings[0] !== undefined) expect(near(middle(rings[0]).x, bars(before))).toBe(true)

      // Patches: the target under both, the matched field over the right half of the one as shot.
      const [shot, matched, target] = await boxes('fields', `${of} use`)
      expect(near(shot!.to.y, target!.from.y) && near(matched!.to.y, target!.from.y)).toBe(true)
      expect(near(matched!.from.x, middle(shot!).x) && near(matched!.to.x, shot!.to.x)).toBe(true)
      const { columns } = chartCells(show.chart)
      const [first] = await boxes('fields', '[data-p="0"] use')
      expect(near(shot!.from.x - first!.from.x, (worst.index % columns) * 68)).toBe(true)
      expect(near(shot!.from.y - first!.from.y, Math.floor(worst.index / columns) * 68)).toBe(true)

      // Grey scale: a line a channel and stage, whose marks the style sets; strips stand at the steps.
      const steps = greySteps(patches)
      const grey = greyLevelScales(steps, { width: 520, height: 340 })
      for (const step of steps) {
        const at = middle((await boxes('grey', `.step[data-p="${step.index}"]`))[0]!)
        expect(near(at.x, grey.x(stepLevel(step)))).toBe(true)
      }
      const marked = await page.evaluate(
        `[...document.querySelectorAll('#s0c1 .plot.grey path:is(.as,.mt)')].map((line) => {
          const id = /#([\\w-]+)/.exec(getComputedStyle(line).markerMid)?.[1]
          return line.getAttribute('class') + ' ' + document.querySelector('marker#' + id + ' path')?.getAttribute('class')
        })`,
      )
      const each = ['r as as', 'g as as', 'b as as', 'r mt mt', 'g mt mt', 'b mt mt']
      expect(marked).toEqual([...each, ...each])

      // Evenness: the figure of a patch stands under its spot, in the chart’s order.
      const spots = (await boxes('evenness', 'circle')).map(middle)
      const figures = (await boxes('evenness', 'text')).map(middle)
      expect(spots).toHaveLength(show.chart.patches.length)
      for (const [i, spot] of spots.entries()) {
        expect(near(spot.x, figures[i]!.x) && figures[i]!.y - spot.y > 15).toBe(true)
        expect(near(spot.x - spots[0]!.x, (i % columns) * 62)).toBe(true)
      }

      // Camera against camera: matched in the row of the one and the column of the other, as shot mirrored.
      const pair = cameraPairs(show.setups[0]!, show).find(({ a, b }) => a === 'cross' && b === 'crane')!
      const cells = (await page.evaluate(`{
        const svg = document.querySelector('svg.pairs')
        const at = (text) => { const { left, right, top, bottom } = text.getBoundingClientRect(); return [(left + right) / 2, (top + bottom) / 2] }
        const texts = [...svg.querySelectorAll('text')].map((text) => [text.textContent, text.closest('g')?.getAttribute('class') ?? 'name', ...at(text)])
        texts
      }`)) as [string, string, number, number][]
      const [across, down] = [0, 1].map((nth) => (name: string) => {
        const [, , x, y] = cells.filter(([text, kind]) => kind === 'name' && text === name)[nth]!
        return nth === 0 ? x : y
      }) as [(name: string) => number, (name: string) => number]
      const stands = (stage: 'as' | 'mt', column: string, row: string) =>
        cells.find(
          ([, kind, x, y]) =>
            kind === stage && Math.abs(x - across(column)) < 1 && Math.abs(y - down(row)) < 2,
        )?.[0]
      expect(stands('mt', 'crane', 'cross')).toBe(pair.after.toFixed(2))
      expect(stands('as', 'cross', 'crane')).toBe(pair.before.toFixed(2))
      expect(faults).toEqual([])
    }))

  it('shows whole frames of the stage that is chosen, the target’s band beside it', () =>
    withPage({}, async ({ page }) => {
      const clips = () =>
        page.evaluate(
          `[...document.querySelectorAll('#s0c1 .split > :is(image,use)')].map((one) => {
            const { clipPath, visibility } = getComputedStyle(one)
            return one.getAttribute('class') + (visibility === 'hidden' ? ' hidden' : clipPath === 'none' ? ' whole' : ' band')
          })`,
        )
      expect(await clips()).toEqual(['as band', 'mt band', 'target band'])
      await page.locator('#stage-as').check()
      expect(await clips()).toEqual(['as whole', 'mt hidden', 'target band'])
      await page.locator('#stage-mt').check()
      expect(await clips()).toEqual(['as hidden', 'mt whole', 'target band'])
    }))

  it('switches stages and cameras without any script', () =>
    withPage({ javaScriptEnabled: false }, async ({ page }) => {
      const camera = page.locator('#s0c1')
      const disc = camera.locator('.scope circle.mt').first()
      const ring = camera.locator('.scope circle.as').first()
      const { before, after } = fittedCamera(show.setups[0]!, show.setups[0]!.cameras[1]!.camera).match
        .patches[0]!.dE00
      const figures = () => camera.locator('.fields [data-p="0"] text:visible').textContent()
      const shows = async () => [await ring.isVisible(), await disc.isVisible()]
      await camera.scrollIntoViewIfNeeded()
      expect(await shows()).toEqual([true, true])
      expect(await figures()).toBe(after.toFixed(2))
      await page.locator('#stage-as').check()
      expect(await shows()).toEqual([true, false])
      expect(await figures()).toBe(before.toFixed(2))
      await page.locator('#stage-mt').check()
      expect(await shows()).toEqual([false, true])
      expect(await figures()).toBe(after.toFixed(2))
      // The bars are about both.
      expect(await camera.locator('.bars rect.mt').first().isVisible()).toBe(true)
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
      const { sheets, places } = await printed(page)
      // One sheet at least for every camera and setup but the targets, and the first.
      expect(sheets).toBeGreaterThanOrEqual(1 + 4)
      for (const [i, { height }] of figures.entries()) {
        const { top, end } = places[i]!
        expect([i, end.page]).toEqual([i, top.page])
        // Points are 72 an inch, pixels of the style 96.
        expect(Math.abs(top.y - end.y - 0.75 * height)).toBeLessThan(20)
      }
    }))
})
