import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { createFrame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { harbourStudio } from '@isochip/synthetic'
import { unzipSync } from 'fflate'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { builtPage } from '../../../test/page/support/builtPage.ts'
import { consumer } from '../../../test/support/consumer.ts'
import { type PageServer, servePage } from '../../cli/src/page/servePage.ts'
import { type Browser, launch, type OpenPage, seriousFaults } from '../../report/test/support/openPage.ts'
import { openAtRest } from './support/openAtRest.ts'

const chromium = consumer('chromium')

/** What has the focus, as it is seen; in the page, whose types nothing here may see. */
const focused = `(() => {
  const element = document.activeElement
  if (element === document.body) return { name: 'body' }
  // A file input lies over its label, which is what is seen.
  const shown = element.closest('label.choose') ?? element
  const { left, top, width, height } = shown.getBoundingClientRect()
  const at = document.elementFromPoint(left + width / 2, top + height / 2)
  const { outlineStyle, outlineWidth } = getComputedStyle(shown)
  return {
    name: element.getAttribute('aria-label') ?? element.labels?.[0]?.textContent.trim() ?? element.textContent.trim(),
    ring: outlineStyle !== 'none' && parseFloat(outlineWidth) >= 2,
    uncovered: at !== null && (shown.contains(at) || at.contains(shown)),
  }
})()`

interface Focused {
  readonly name: string
  readonly ring: boolean
  readonly uncovered: boolean
}

/** Pairs of controls that lie on each other, and whatever is wider than the window. */
const collisions = `(() => {
  const root = document.querySelector('dialog[open]') ?? document
  const all = [...root.querySelectorAll('button, select, input:not([type=file]), summary, label.choose')]
    .map((element) => ({ element, box: element.getBoundingClientRect() }))
    .filter(({ element, box }) => box.width > 2 && !element.closest('.bar') && element.checkVisibility())
  const found = document.documentElement.scrollWidth > innerWidth ? ['wider than the window'] : []
  for (const [i, one] of all.entries())
    for (const other of all.slice(i + 1)) {
      if (one.element.contains(other.element) || other.element.contains(one.element)) continue
      const wide = Math.min(one.box.right, other.box.right) - Math.max(one.box.left, other.box.left)
      const high = Math.min(one.box.bottom, other.box.bottom) - Math.max(one.box.top, other.box.top)
      if (wide > 1 && high > 1) found.push(one.element.outerHTML.slice(0, 90) + ' | ' + other.element.outerHTML.slice(0, 90))
    }
  return found
})()`

chromium.describe('the match page by keys alone', () => {
  let built: string
  let folder: string
  let browser: Browser
  let server: PageServer
  const files: string[] = []

  beforeAll(async () => {
    built = await builtPage()
    folder = mkdtempSync(join(tmpdir(), 'isochip-keys-'))
    const size = { width: 960, height: 540 }
    for (const [i, one] of harbourStudio(size).seats.slice(0, 2).entries()) {
      const { data, bits } = one.shoot(one.begin, 1)
      const path = join(folder, `${['wide', 'cross'][i]}.png`)
      const frame = createFrame(size.width, size.height, data, bits)
      writeFileSync(path, await encodeFrame(frame, { format: 'png' }))
      files.push(path)
    }
    browser = await launch(chromium.command!)
    server = await servePage({ folder: built, index: 'match.html', port: 0 })
  })
  afterAll(async () => {
    await browser?.close()
    await server?.close()
    rmSync(folder, { recursive: true, force: true })
  })

  const here = async (page: OpenPage['page']) => (await page.evaluate(focused)) as Focused

  /** Presses a key until something has the focus, which is seen at every step. */
  async function goTo(page: OpenPage['page'], name: RegExp, key = 'Tab'): Promise<void> {
    const passed: string[] = []
    for (let i = 0; i < 80; i++) {
      await page.keyboard.press(key)
      const now = await here(page)
      if (now.name === 'body') continue
      expect(now, `at ${now.name}`).toMatchObject({ ring: true, uncovered: true })
      if (name.test(now.name)) return
      passed.push(now.name)
    }
    throw new Error(`${name} is not among ${passed.join(' | ')}`)
  }

  it('leads from nothing to saved LUTs, with the focus in sight, in a window of 1280 × 720 and of 3840 × 2160', async () => {
    const { page, faults } = await openAtRest(browser, server.address, {
      acceptDownloads: true,
      viewport: { width: 1280, height: 720 },
    })
    try {
      // Listened for early: the browser has to know of it before the key comes.
      const chooser = page.waitForEvent('filechooser')
      await goTo(page, /^Frames of another camera$/)
      await page.keyboard.press('Space')
      await (await chooser).setFiles(files)
      await page.getByText('The match is within tolerance.').waitFor()
      // What is served lets the kernels of pictures and LUTs run, which are WebAssembly.
      const compiled = page
        .workers()
        .map((worker) =>
          worker.evaluate(
            'try { new WebAssembly.Module(Uint8Array.of(0, 97, 115, 109, 1, 0, 0, 0)); true } catch (error) { String(error) }',
          ),
        )
      expect(new Set(await Promise.all(compiled))).toEqual(new Set([true]))
      await page.locator('.split figcaption').waitFor()

      const figures = page.locator('.figures')
      const before = await figures.textContent()
      await page.getByRole('region', { name: 'Camera cross' }).waitFor()
      await goTo(page, /^Corners …$/)
      await goTo(page, /^Corners …$/)
      await page.keyboard.press('Enter')
      const corner = page.getByRole('button', { name: /^Corner of the first patch/ })
      await corner.waitFor()
      expect((await here(page)).name).toMatch(/^Corner of the first patch/)
      for (let i = 0; i < 2; i++) await page.keyboard.press('Shift+ArrowRight')
      expect(await page.evaluate(collisions)).toEqual([])
      await goTo(page, /^Use these corners$/)
      await page.keyboard.press('Enter')
      await expect.poll(() => figures.textContent()).not.toBe(before)
      expect((await here(page)).name).toBe('Corners …')

      // Back to the top, under whose bar nothing is hidden.
      const save = page.getByRole('button', { name: 'Save LUTs and report' })
      await expect.poll(() => save.isEnabled()).toBe(true)
      await goTo(page, /^Save LUTs and report$/, 'Shift+Tab')
      const [download] = await Promise.all([page.waitForEvent('download'), page.keyboard.press('Enter')])
      const zip = unzipSync(readFileSync(await download.path()))
      expect(Object.keys(zip)).toContain('default/cross.cube')
      await page.getByRole('status').getByText(download.suggestedFilename()).waitFor()

      for (const viewport of [
        { width: 1280, height: 720 },
        { width: 3840, height: 2160 },
      ]) {
        await page.setViewportSize(viewport)
        await page.locator('.settings summary').focus()
        await page.keyboard.press('Enter')
        await page.getByLabel('Mean ΔE00 up to').waitFor()
        expect(await page.evaluate(collisions)).toEqual([])
        // All the way round: nothing holds the focus.
        await goTo(page, /^Add a setup$/)
        await goTo(page, /^Title of the show$/)
        await page.locator('.settings summary').focus()
        await page.keyboard.press('Enter')
      }
      expect(await seriousFaults(page)).toEqual([])
      expect(faults).toEqual([])
    } finally {
      await page.context().close()
    }
  })
})
