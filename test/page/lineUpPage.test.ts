import { rmSync } from 'node:fs'
import type { ServerResponse } from 'node:http'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { type PageServer, servePage } from '../../packages/cli/src/page/servePage.ts'
import { type Browser, launch, openPage, seriousFaults } from '../../packages/report/test/support/openPage.ts'
import { consumer } from '../support/consumer.ts'
import { builtPage } from './support/builtPage.ts'

const chromium = consumer('chromium')

chromium.describe('the page of a line-up, in a real browser', () => {
  let folder: string
  let browser: Browser
  let server: PageServer

  const serve = (port: number, title: string) =>
    servePage({
      folder,
      index: 'lineup.html',
      port,
      answer: (path, _request, response: ServerResponse) => {
        if (path !== '/state') return false
        response.writeHead(200, { 'Content-Type': 'text/event-stream' })
        response.write(`retry: 200\ndata: ${JSON.stringify({ title, setup: 'desk' })}\n\n`)
        return true
      },
    })

  beforeAll(async () => {
    folder = await builtPage()
    browser = await launch(chromium.command!)
    server = await serve(0, 'Harbour Kitchen')
  })
  afterAll(async () => {
    await browser?.close()
    await server?.close()
    rmSync(folder, { recursive: true, force: true })
  })

  it('asks no other origin, says nothing on the console, has no fault of accessibility', async () => {
    const { page, faults, requests } = await openPage(browser, server.address, { offline: false })
    try {
      await page.getByRole('heading', { name: 'Harbour Kitchen' }).waitFor()
      expect(requests.length).toBeGreaterThan(1)
      expect(requests.filter((url) => !url.startsWith(server.address))).toEqual([])
      expect(await seriousFaults(page)).toEqual([])
      expect(faults).toEqual([])
    } finally {
      await page.context().close()
    }
  })

  it('finds the server again after it was away', async () => {
    const { page } = await openPage(browser, server.address, { offline: false })
    try {
      await page.getByRole('heading', { name: 'Harbour Kitchen' }).waitFor()
      const port = Number(new URL(server.address).port)
      await server.close()
      await page.getByText('Not connected').waitFor()
      server = await serve(port, 'Harbour Kitchen, again')
      await page.getByRole('heading', { name: 'again' }).waitFor()
    } finally {
      await page.context().close()
    }
  })
})
