import { randomUUID } from 'node:crypto'
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { availableParallelism, loadavg, tmpdir } from 'node:os'
import { join } from 'node:path'
import { createFrame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { harbourStudio } from '@isochip/synthetic'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { builtPage } from '../../../test/page/support/builtPage.ts'
import { consumer } from '../../../test/support/consumer.ts'
import { wholeTask } from '../../../test/support/wholeTask.ts'
import { type Browser, launch, openPage } from '../../report/test/support/openPage.ts'
import { longestTask } from './support/longestTask.ts'
import { openAtRest } from './support/openAtRest.ts'
import { processorTime } from './support/processorTime.ts'
import { type ServedFolder, serveFolder } from './support/serveFolder.ts'
import { stillOf } from './support/stillOf.ts'

const chromium = consumer('chromium')
/** Files that are dropped at once. */
const many = wholeTask ? 200 : 8
/** Tells this file's browser from those of others. */
const mark = `--isochip-test=load-${randomUUID()}`

/** Keeps what the page asks its workers for, in their order; in the page, whose types nothing here may see. */
const hearAsked = `{
  globalThis.asked = []
  const { postMessage } = Worker.prototype
  Worker.prototype.postMessage = function (ask, ...more) {
    asked.push(ask.kind)
    return postMessage.call(this, ask, ...more)
  }
}`

chromium.describe('the match page under load', () => {
  let folder: string
  let served: ServedFolder
  let browser: Browser
  let address: string
  /** Does a request for a worker come to nothing? */
  let lose: () => boolean | Promise<boolean> = () => false

  beforeAll(async () => {
    const built = await builtPage()
    folder = mkdtempSync(join(tmpdir(), 'isochip-load-'))
    served = await serveFolder(built, { lost: (url) => /matchWorker/.test(url) && lose() })
    address = `${served.address}match.html`
    browser = await launch(chromium.command!, [mark])
  })
  afterAll(async () => {
    await browser?.close()
    served?.server.close()
    rmSync(folder, { recursive: true, force: true })
  })

  const opened = (options: Parameters<typeof openAtRest>[2] = {}) => openAtRest(browser, address, options)

  const still = (name: string, seat: number, size: { width: number; height: number }) =>
    stillOf(folder, name, seat, size)

  it('reads what it was given though workers could not be loaded at first, and says so where none ever is', async () => {
    const size = { width: 480, height: 270 }
    const files = [await still('first.png', 0, size), await still('second.png', 1, size)]
    // Nothing is known of them until both have been given something to do.
    let given = () => {}
    const known = new Promise<boolean>((resolve) => {
      given = () => resolve(true)
    })
    let asked = 0
    lose = () => asked++ < 2 && known
    const { page } = await opened()
    try {
      await page.getByLabel('Frames of another camera').setInputFiles(files)
      await page.getByText('Reading 2 shots …').waitFor()
      given()
      await page.locator('.card').waitFor()
      expect(await page.getByRole('alert').count()).toBe(0)
      expect(asked).toBeGreaterThan(2)
      lose = () => true
      await page.reload()
      await page.getByLabel('Frames of another camera').setInputFiles(files)
      await page.getByText('the page cannot load the rest of itself', { exact: false }).first().waitFor()
    } finally {
      lose = () => false
      await page.context().close()
    }
  })

  it('is painted within 1 s, rehearses until it is given frames, reads three of 1920 × 1080 and matches two once each, is never busy for 100 ms, and goes on without the server', async () => {
    const size = { width: 1920, height: 1080 }
    const files: string[] = []
    for (const seat of [0, 1, 2]) files.push(await still(`${'abc'[seat]}.png`, seat, size))
    const { page, faults } = await openPage(browser, address, { offline: false })
    const drop = page.getByLabel('Frames of another camera')
    try {
      const painted: number[] = []
      // Wall time, for which a machine that is busy with others has to be looked at more than once; where more is waiting
      // than there are processors, what the browser took of them until then.
      for (let i = 0; i < 5 && !painted.some((ms) => ms < 1000); i++) {
        const before = processorTime(mark)
        if (i > 0) await page.reload()
        await page.waitForFunction("performance.getEntriesByName('first-contentful-paint').length > 0")
        const taken = before === undefined ? undefined : 1000 * (processorTime(mark)! - before)
        painted.push(
          (await page.evaluate(
            `performance.getEntriesByName('first-contentful-paint')[0].startTime`,
          )) as number,
        )
        if (i > 0 && taken !== undefined && loadavg()[0]! > 2 * availableParallelism()) painted.push(taken)
      }
      expect(Math.min(...painted)).toBeLessThan(1000)

      await page.evaluate(hearAsked)
      // Nobody has files at hand within a few seconds: the first rehearsal begins. Those who have end it.
      await expect.poll(() => page.evaluate("asked.includes('rehearse')")).toBe(true)
      const longest = await longestTask(browser, page, async () => {
        await drop.setInputFiles(files)
        await page.locator('.card').nth(1).waitFor()
      })
      expect(longest).toBeLessThan(100)
      await page.locator('body[data-workers=rehearsed]').waitFor()
      expect(await page.locator('.card').count()).toBe(2)
      const asked = (await page.evaluate('asked')) as string[]
      expect(asked.slice(asked.indexOf('read'))).not.toContain('rehearse')
      // Somebody waits for these, and how long is theirs alone (`npm run bench -- page`): nothing is done twice.
      expect(asked.filter((kind) => kind === 'read')).toHaveLength(3)
      expect(asked.filter((kind) => kind === 'match')).toHaveLength(2)
      // A task that long would have been seen.
      const spin = `{ const end = performance.now() + 500; while (performance.now() < end); }`
      expect(await longestTask(browser, page, () => page.evaluate(spin))).toBeGreaterThan(100)

      // Each worker is there; nothing is asked for any more.
      await page.context().setOffline(true)
      await drop.setInputFiles(await still('d.png', 1, { width: 480, height: 270 }))
      await page.locator('.card').nth(2).waitFor()
      expect(faults).toEqual([])
    } finally {
      await page.context().close()
    }
  })

  it('reads a TIFF of 3840 × 2160 in 16 bits', async () => {
    const size = { width: 3840, height: 2160 }
    const [across, times] = [960, 4]
    const one = harbourStudio({ width: across, height: 540 }).seats[0]!
    const { data } = one.shoot(one.begin, 1)
    const deep = new Uint16Array(3 * size.width * size.height)
    for (let y = 0, to = 0; y < size.height; y++)
      for (let x = 0; x < size.width; x++)
        for (let c = 0; c < 3; c++)
          deep[to++] = 257 * data[3 * (across * Math.floor(y / times) + Math.floor(x / times)) + c]!
    const path = join(folder, 'large.tif')
    writeFileSync(path, await encodeFrame(createFrame(size.width, size.height, deep), { format: 'tiff' }))
    const { page, faults } = await opened()
    try {
      await page.getByLabel('Frames of another camera').setInputFiles(path)
      await page.getByRole('img', { name: /24 sampled areas/ }).waitFor()
      expect(faults).toEqual([])
    } finally {
      await page.context().close()
    }
  })

  it(`takes ${many} files at once: in turn, counted down, and none of them lost`, async () => {
    const size = { width: 480, height: 270 }
    const seats = [await still('one.png', 0, size), await still('two.png', 1, size)]
    const files = Array.from({ length: many }, (_, i) => {
      const path = join(folder, i === 7 ? '" onload=alert(1) <b>&amp;.png' : `cam-${i}.png`)
      writeFileSync(path, readFileSync(seats[i % 2]!))
      return path
    })
    const { page, faults } = await opened({ viewport: { width: 1280, height: 600 } })
    try {
      const counts: number[] = []
      const longest = await longestTask(browser, page, async () => {
        await page.getByLabel('Frames of another camera').setInputFiles(files)
        await page.getByText(/Reading \d+ shots …/).waitFor()
        for (;;) {
          const text = (await page.getByRole('status').first().textContent()) ?? ''
          const [, left] = /Reading (\d+) shots/.exec(text) ?? []
          if (left === undefined) break
          counts.push(Number(left))
          await page.waitForTimeout(1000)
        }
        await page
          .locator('.card')
          .nth(many - 2)
          .waitFor()
      })
      expect(longest).toBeLessThan(100)
      // Pictures through the LUT are made of those that are looked at.
      await page.locator('.split figcaption').first().waitFor()
      expect(await page.locator('.split figcaption').count()).toBeLessThan(many / 2)
      expect(counts).toEqual([...counts].sort((a, b) => b - a))
      expect(await page.getByRole('region', { name: /^Camera / }).count()).toBe(many)
      expect(faults).toEqual([])
    } finally {
      await page.context().close()
    }
  })
})
