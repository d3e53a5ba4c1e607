import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { DemoStudio } from '../../packages/cli/src/studio/demoStudio.ts'
import { runStudio } from '../../packages/cli/src/studio/runStudio.ts'
import { type Browser, launch, openPage, seriousFaults } from '../../packages/report/test/support/openPage.ts'
import { consumer } from '../support/consumer.ts'
import { scratchFolder } from '../support/scratchFolder.ts'
import { builtPage } from './support/builtPage.ts'

const chromium = consumer('chromium')

chromium.describe('the simulated studio, in a real browser', () => {
  const abort = new AbortController()
  let folder: string
  let browser: Browser
  let address: string
  let ended: Promise<void>

  beforeAll(async () => {
    folder = await builtPage()
    browser = await launch(chromium.command!)
    const studio = await DemoStudio.open(join(scratchFolder('studio-page'), 'studio'), false)
    address = await new Promise<string>((resolve) => {
      const terminal = {
        out: () => {},
        err: (text: string) => {
          const [found] = /http:\S+/.exec(text) ?? []
          if (found !== undefined) resolve(found)
        },
        colour: false,
        errColour: false,
        live: false,
        width: 80,
      }
      ended = runStudio(studio, { port: 0, folder }, { terminal, signal: abort.signal })
    })
  })
  afterAll(async () => {
    abort.abort()
    await ended
    await browser?.close()
  })

  it('brings three cameras together by the buttons on the page, and says that it is a simulation', async () => {
    const { page, faults, requests } = await openPage(browser, address, {
      offline: false,
      viewport: { width: 1280, height: 720 },
    })
    try {
      await page.getByText('Simulation', { exact: true }).waitFor()
      for (const camera of ['cross', 'crane']) {
        const row = page.getByRole('region', { name: camera })
        await row.getByText('to be adjusted').waitFor()
        for (let round = 1; round <= 4; round++) {
          await row.getByText(`Round ${round};`).waitFor()
          if ((await row.locator('.verdict.within').count()) > 0) break
          const asked = row.getByRole('button', { name: 'Turn it so' })
          const shoot = row.locator('.simulated').getByRole('button', { name: 'Shoot the chart' })
          while ((await shoot.count()) === 0) await asked.click()
          await shoot.click()
        }
        expect(await row.locator('.verdict').textContent(), camera).toMatch(
          /within tolerance|no adjustment needed/,
        )
      }
      await page.getByText('turn crane by hand').click()
      const row = page.getByRole('region', { name: 'crane' })
      const before = await row.locator('.knob output').nth(3).textContent()
      await row.getByRole('button', { name: /^exposure of crane, .* more/ }).click()
      await expect.poll(() => row.locator('.knob output').nth(3).textContent()).not.toBe(before)
      expect(await seriousFaults(page)).toEqual([])
      expect(requests.filter((url) => !url.startsWith(address))).toEqual([])
      expect(faults).toEqual([])
    } finally {
      await page.context().close()
    }
  })

  it('refuses what no panel would send', async () => {
    const send = (body: string, origin = address.slice(0, -1)) =>
      fetch(`${address}studio`, { method: 'POST', body, headers: { Origin: origin } })
    expect((await send('{')).status).toBe(400)
    expect((await send('{"camera":"cross","turn":{"exposure":1e9}}')).status).toBe(400)
    expect((await send('{"camera":"cross","turn":{"__proto__":1,"iris":1}}')).status).toBe(400)
    expect((await send('{"camera":"boom","shoot":true}')).status).toBe(400)
    expect((await send(' '.repeat(10_000))).status).toBe(413)
    expect((await send('{"camera":"cross","shoot":true}', 'http://example.com')).status).toBe(405)
  })
})
