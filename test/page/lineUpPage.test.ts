import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { createFrame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { instructions, outcomeWords } from '@isochip/report'
import { lineUpShow } from '@isochip/show/node'
import { renderHarbourKitchen } from '@isochip/synthetic'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { type LineUpPage, openLineUpPage } from '../../packages/cli/src/page/openLineUpPage.ts'
import {
  type Browser,
  launch,
  type OpenPage,
  openPage,
  seriousFaults,
} from '../../packages/report/test/support/openPage.ts'
import { consumer } from '../support/consumer.ts'
import { scratchFolder } from '../support/scratchFolder.ts'
import { builtPage } from './support/builtPage.ts'

const chromium = consumer('chromium')

// What runs in the page is given as text: tests are not type-checked against a browser.
chromium.describe('the page of a line-up, in a real browser', () => {
  const show = scratchFolder('line-up-page')
  const showFile = join(show, 'show.yaml')
  let folder: string
  let browser: Browser
  let page: LineUpPage
  let stop: () => Promise<void>

  /** Line-up and page, as the command runs them. */
  async function start(port: number): Promise<void> {
    page = await openLineUpPage(showFile, { port, folder })
    const abort = new AbortController()
    const events = lineUpShow(showFile, {
      signal: abort.signal,
      warmsUp: false,
      onFrame: (camera, frame, encoding) => page.board.takeFrame(camera, frame, encoding),
    })
    const ended = (async () => {
      for await (const event of events) page.board.takeEvent(event)
    })()
    stop = async () => {
      abort.abort()
      await ended
      await page.close()
    }
  }

  beforeAll(async () => {
    const kitchen = renderHarbourKitchen({ width: 480, height: 270 })
    for (const shot of kitchen.shots.filter(({ setup }) => setup === 'day'))
      for (const { name, frame } of shot.render()) {
        const { width, height, data, bits } = frame
        const file = name.replace('/', '-')
        writeFileSync(
          join(show, file),
          await encodeFrame(createFrame(width, height, data, bits), { format: 'png' }),
        )
      }
    writeFileSync(showFile, kitchen.show.replaceAll(/(wide|cross|crane)\/(day|evening)/g, '$1-$2'))
    folder = await builtPage()
    browser = await launch(chromium.command!)
    await start(0)
  })
  afterAll(async () => {
    await browser?.close()
    await stop?.()
  })

  async function withPage(body: (opened: OpenPage) => Promise<void>): Promise<void> {
    const opened = await openPage(browser, page.address, {
      offline: false,
      viewport: { width: 1280, height: 720 },
    })
    try {
      await opened.page
        .getByRole('img', { name: /Vectorscope/ })
        .nth(2)
        .waitFor()
      await body(opened)
    } finally {
      await opened.page.context().close()
    }
  }

  const rounds = (camera: string) =>
    (
      JSON.parse(readFileSync(join(show, 'lineup.json'), 'utf8')) as {
        cameras: { camera: string; rounds: { now: number; asked: never; stages: never }[] }[]
      }
    ).cameras.find((one) => one.camera === camera)!.rounds

  it('shows each camera with the figures of the report, and its scopes', () =>
    withPage(async ({ page: tab }) => {
      for (const camera of ['cross', 'crane']) {
        const row = tab.getByRole('region', { name: camera })
        const { now, asked, stages } = rounds(camera).at(-1)
        const [first] = instructions(asked, stages, 'full')
        const text = (await row.textContent())!.replaceAll(/\s+/g, ' ')
        expect(text).toContain(`ΔE00 ${now.toFixed(2)}`)
        expect(text).toContain('to be adjusted')
        for (const part of first!.lines[0]!.split(/ {2,}| (?=\()/)) expect(text).toContain(part)
        expect(text).toContain(outcomeWords(first!, 1))
      }
      const drawn = (await tab.evaluate(`
        [...document.querySelectorAll('canvas.trace')].map((canvas) => {
          const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height)
          let lit = 0
          for (let i = 3; i < data.length; i += 4) if (data[i] > 0) lit++
          return lit / (data.length / 4)
        })`)) as number[]
      expect(drawn).toHaveLength(6)
      // Something everywhere, and nowhere a filled field.
      for (const share of drawn) {
        expect(share).toBeGreaterThan(0.002)
        expect(share).toBeLessThan(0.7)
      }
    }))

  it('asks no other origin, says nothing on the console, has no fault of accessibility', () =>
    withPage(async ({ page: tab, faults, requests }) => {
      for (const view of ['Waveform', 'Legal range', 'Parade']) {
        await tab.getByRole('radio', { name: view }).check()
        expect(await seriousFaults(tab), view).toEqual([])
      }
      expect(requests.filter((url) => url.includes('/pixels/')).length).toBe(3)
      expect(requests.filter((url) => !url.startsWith(page.address))).toEqual([])
      expect(faults).toEqual([])
    }))

  it('can be read at 1280 × 720 from two metres: two cameras without scrolling, in large type', () =>
    withPage(async ({ page: tab }) => {
      const { sizes, bottoms, wide } = (await tab.evaluate(`({
        sizes: [...document.querySelectorAll('.far')].map((one) => parseFloat(getComputedStyle(one).fontSize)),
        bottoms: [...document.querySelectorAll('.camera:not(.target)')].map((one) => one.getBoundingClientRect().bottom),
        wide: document.documentElement.scrollWidth,
      })`)) as { sizes: number[]; bottoms: number[]; wide: number }
      expect(sizes).toHaveLength(2)
      // ISO 9241-303, from memory: characters of at least 16 minutes of arc, 9.3 mm at two metres, which are 34 px on a
      // 24-inch screen of 1920 pixels; capitals are 0.73 of the size of the type.
      for (const size of sizes) expect(0.73 * size).toBeGreaterThan(33)
      expect(bottoms.filter((bottom) => bottom > 720)).toEqual([])
      expect(wide).toBe(1280)
    }))

  it('works by the keyboard alone', () =>
    withPage(async ({ page: tab }) => {
      const row = tab.getByRole('region', { name: 'cross' })
      const far = row.locator('.far')
      const first = await far.textContent()
      // Radio buttons are one stop, then the buttons of each row that are not grey.
      await tab.keyboard.press('Tab')
      await tab.keyboard.press('ArrowRight')
      expect(await tab.getByRole('radio', { name: 'Waveform' }).isChecked()).toBe(true)
      await tab.keyboard.press('Tab')
      await tab.keyboard.press('Enter')
      expect(await far.textContent()).not.toBe(first)
      await tab.keyboard.press('Shift+Tab')
      await tab.keyboard.press('Enter')
      expect(await far.textContent()).toBe(first)
    }))

  it('tells of a half-written frame; the last good round stays, and the whole frame is the next one', () =>
    withPage(async ({ page: tab }) => {
      const row = tab.getByRole('region', { name: 'crane' })
      const file = join(show, 'crane-day-1.png')
      const whole = readFileSync(file)
      writeFileSync(file, whole.subarray(0, whole.length / 2))
      await row.getByText('last good round').waitFor()
      expect(await row.textContent()).toContain(`ΔE00 ${rounds('crane').at(-1).now.toFixed(2)}`)
      const before = rounds('crane').length
      // The other frame twice: another shot.
      writeFileSync(file, readFileSync(join(show, 'crane-day-2.png')))
      await row.getByText(`Round ${before + 1}`).waitFor()
      expect(await row.getByText('last good round').count()).toBe(0)
    }))

  it('finds the server again after it was away, and what was kept', () =>
    withPage(async ({ page: tab }) => {
      const port = Number(new URL(page.address).port)
      const said = await tab.getByRole('region', { name: 'cross' }).locator('.head').textContent()
      await stop()
      await tab.getByText('Not connected').waitFor()
      await start(port)
      await tab.getByText('Not connected').waitFor({ state: 'detached' })
      const row = tab.getByRole('region', { name: 'cross' })
      await row.getByText('to be adjusted').waitFor()
      expect(await row.locator('.head').textContent()).toBe(said)
    }))
})
