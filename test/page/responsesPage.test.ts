import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { responsesHtml } from '@isochip/report'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { inventedResponses } from '../../packages/report/test/support/inventedResponses.ts'
import { type Browser, launch, openPage, seriousFaults } from '../../packages/report/test/support/openPage.ts'
import { consumer } from '../support/consumer.ts'
import { printed } from './support/printed.ts'

const chromium = consumer('chromium')

chromium.describe('the page of responses, in a real browser', () => {
  const folder = mkdtempSync(join(tmpdir(), 'isochip-page-'))
  const file = join(folder, 'compare.html')
  const hostile = '"><img src=x onerror=alert(1)>'
  writeFileSync(file, responsesHtml(inventedResponses({ cross: hostile })))
  let browser: Browser
  beforeAll(async () => {
    browser = await launch(chromium.command!)
  })
  afterAll(async () => {
    await browser?.close()
    rmSync(folder, { recursive: true, force: true })
  })

  it.each(['light', 'dark'] as const)(
    'asks for nothing, says nothing, fits a phone, is accessible, %s',
    (colorScheme) =>
      openPage(browser, pathToFileURL(file).href, {
        colorScheme,
        viewport: { width: 360, height: 800 },
      }).then(async ({ page, faults, requests }) => {
        expect(await page.evaluate('document.documentElement.scrollWidth')).toBe(360)
        expect(await page.evaluate('document.images.length + document.scripts.length')).toBe(0)
        expect(await page.evaluate('document.body.textContent')).toContain(hostile)
        await page.evaluate(`document.querySelectorAll('details').forEach((d) => (d.open = true))`)
        expect(await seriousFaults(page)).toEqual([])
        expect(faults).toEqual([])
        expect(requests).toEqual([])
        await page.context().close()
      }),
  )

  it('prints with no picture cut', async () => {
    const { page } = await openPage(browser, pathToFileURL(file).href, { colorScheme: 'dark' })
    const { sheets, places } = await printed(page)
    expect(sheets).toBeGreaterThanOrEqual(2)
    expect(places).toHaveLength(2 + 2 * 3)
    for (const { top, end } of places) {
      expect(end.page).toBe(top.page)
      expect(top.y - end.y).toBeGreaterThan(60)
    }
    await page.context().close()
  })
})
