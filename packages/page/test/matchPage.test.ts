import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import { createFrame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { matchShow } from '@isochip/show/node'
import { renderHarbourKitchen } from '@isochip/synthetic'
import { unzipSync } from 'fflate'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { builtPage } from '../../../test/page/support/builtPage.ts'
import { consumer } from '../../../test/support/consumer.ts'
import { type PageServer, servePage } from '../../cli/src/page/servePage.ts'
import { type Browser, launch, seriousFaults } from '../../report/test/support/openPage.ts'
import { openAtRest } from './support/openAtRest.ts'

const chromium = consumer('chromium')

/** A show of one setup and flat file names, as somebody would drop it, without corners: the chart has to be found. */
async function writeShow(folder: string): Promise<readonly string[]> {
  const kitchen = renderHarbourKitchen({ width: 640, height: 360 })
  const files: string[] = []
  let text = kitchen.show
    .replace(/^ {8}corners:.*\n/gm, '')
    .replace(/^ {6}- setup: evening\n {8}frames:.*\n/gm, '')
    .replace(
      'target:',
      'working: bt2020\nfit: { weights: { roles: { skin: 4 } } }\noutput: { formats: [cube, clf], size: 9 }\ntarget:',
    )
  for (const { camera, setup, names, render } of kitchen.shots) {
    if (setup !== 'day') continue
    const [{ frame }] = render() as [ReturnType<typeof render>[number]]
    const name = `${camera}-day.png`
    text = text.replace(/frames: \[[^\]]*\]/, (all) => (all.includes(names[0]!) ? `frames: ${name}` : all))
    text = text.replace(`[${names.join(', ')}]`, name)
    const { width, height, data, bits } = frame
    writeFileSync(
      join(folder, name),
      await encodeFrame(createFrame(width, height, data, bits), { format: 'png' }),
    )
    files.push(join(folder, name))
  }
  writeFileSync(join(folder, 'show.yaml'), text)
  return [join(folder, 'show.yaml'), ...files]
}

chromium.describe('the match page, in a real browser', () => {
  let built: string
  let folder: string
  let files: readonly string[]
  let browser: Browser
  let server: PageServer

  beforeAll(async () => {
    built = await builtPage()
    folder = mkdtempSync(join(tmpdir(), 'isochip-match-page-'))
    files = await writeShow(folder)
    browser = await launch(chromium.command!)
    server = await servePage({ folder: built, index: 'match.html', port: 0 })
  })
  afterAll(async () => {
    await browser?.close()
    await server?.close()
    rmSync(folder, { recursive: true, force: true })
  })

  const opened = () => openAtRest(browser, server.address, { acceptDownloads: true })
  const give = async ({ page }: Awaited<ReturnType<typeof opened>>, paths: readonly string[]) =>
    page.getByLabel('Frames of another camera').setInputFiles([...paths])

  it('finds the charts of a dropped show, and saves the files that the command writes', async () => {
    const one = await opened()
    const { page, faults, requests } = one
    try {
      await give(one, files)
      await page.getByText('Both matches are within tolerance.').waitFor()
      const [download] = await Promise.all([
        page.waitForEvent('download'),
        page.getByRole('button', { name: 'Save LUTs and report' }).click(),
      ])
      const zip = unzipSync(readFileSync(await download.path()))
      const out = join(folder, 'out')
      await matchShow(join(folder, 'show.yaml'), { out, workers: 0 })
      for (const camera of ['wide', 'cross', 'crane']) {
        for (const ending of ['cube', 'clf', 'match.json']) {
          const name = `day/${camera}.${ending}`
          expect(Buffer.from(zip[name]!).toString(), name).toBe(readFileSync(join(out, name), 'utf8'))
        }
      }
      // The show file in it is one: the command reads it, and comes to the same.
      const again = join(folder, 'again')
      mkdirSync(again)
      for (const path of files.slice(1))
        writeFileSync(join(again, path.split('/').at(-1)!), readFileSync(path))
      writeFileSync(join(again, 'show.yaml'), zip['show.yaml']!)
      const { out: second } = await matchShow(join(again, 'show.yaml'), { workers: 0 })
      expect(readFileSync(join(second, 'day/cross.cube'))).toEqual(readFileSync(join(out, 'day/cross.cube')))

      // Another curve than the chart shows: told where it is chosen, with what it might be.
      const column = page.getByRole('region', { name: 'Camera crane' })
      const encoding = column.getByLabel('Encoding')
      const right = await encoding.inputValue()
      expect(right).toBe('bt709')
      await encoding.selectOption('linear')
      await column.getByText('The chart contradicts this encoding.').waitFor()
      expect(await page.getByText('Both matches are within tolerance.').count()).toBe(0)
      await column.getByRole('button', { name: /^BT\.709.*, full$/ }).click()
      await page.getByText('Both matches are within tolerance.').waitFor()
      expect(await encoding.inputValue()).toBe(right)
      expect(await column.getByText('The chart contradicts this encoding.').count()).toBe(0)

      expect(requests.filter((url) => !url.startsWith(server.address))).toEqual([])
      expect(await seriousFaults(page)).toEqual([])
      expect(faults).toEqual([])
    } finally {
      await page.context().close()
    }
  })

  it('reads again where a corner was moved, by key and by mouse', async () => {
    const one = await opened()
    const { page } = one
    try {
      await give(one, files)
      await page.getByText('Both matches are within tolerance.').waitFor()
      const column = page.getByRole('region', { name: 'Camera cross' })
      const before = await page.locator('.card', { hasText: 'cross' }).locator('.figures').textContent()
      await column.getByRole('button', { name: 'Corners …' }).click()
      const corner = page.getByRole('button', { name: /^Corner of the first patch/ })
      const label = await corner.getAttribute('aria-label')
      await corner.focus()
      for (let i = 0; i < 3; i++) await page.keyboard.press('Shift+ArrowRight')
      expect(await corner.getAttribute('aria-label')).not.toBe(label)
      const last = page.getByRole('button', { name: /^Corner of the last patch/ })
      const { x, y } = (await last.boundingBox())!
      const at = await last.getAttribute('aria-label')
      await page.mouse.move(x + 17, y + 17)
      await page.mouse.down()
      await page.mouse.move(x + 40, y + 30)
      await page.mouse.up()
      expect(await last.getAttribute('aria-label')).not.toBe(at)
      await page.getByRole('button', { name: 'Use these corners' }).click()
      await expect
        .poll(() => page.locator('.card', { hasText: 'cross' }).locator('.figures').textContent(), {
          timeout: 300_000,
        })
        .not.toBe(before)
    } finally {
      await page.context().close()
    }
  })

  it('weighs less than 600 kB compressed', () => {
    const files = readdirSync(built, { recursive: true, withFileTypes: true }).filter((one) => one.isFile())
    const bytes = files.map(({ parentPath, name }) => gzipSync(readFileSync(join(parentPath, name))).length)
    expect(files.length).toBeGreaterThan(5)
    expect(bytes.reduce((a, b) => a + b, 0)).toBeLessThan(600_000)
  })

  it('says what is wrong with a broken file, one of another kind, and a frame without a chart; the others stand', async () => {
    const one = await opened()
    const { page, faults } = one
    try {
      const whole = readFileSync(files[1]!)
      const cut = {
        name: '<img src=x onerror=alert(1)>.png',
        mimeType: 'image/png',
        buffer: whole.subarray(0, 4000),
      }
      const wall = createFrame(640, 360, new Uint8Array(3 * 640 * 360).fill(90))
      const grey = Buffer.from(await encodeFrame(wall, { format: 'png' }))
      await page
        .getByLabel('Frames of another camera')
        .setInputFiles([
          cut,
          { name: 'notes.txt', mimeType: 'text/plain', buffer: Buffer.from('no frame') },
          { name: 'wall.png', mimeType: 'image/png', buffer: grey },
        ])
      await page.getByText('notes.txt is no file of frames or readings').waitFor()
      await page.getByText(/onerror.*cannot be read/).waitFor()
      await page.getByRole('region', { name: 'Camera wall' }).getByRole('alert').waitFor()
      expect(await page.locator('img').count()).toBe(0)
      expect(faults).toEqual([])
    } finally {
      await page.context().close()
    }
  })
})
