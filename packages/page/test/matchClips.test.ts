import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { builtinChart, resolveEncoding } from '@isochip/core'
import { createFrame, readingsToCsv } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { placeChart, sampleShot } from '@isochip/show'
import { matchShow } from '@isochip/show/node'
import { harbourStudio } from '@isochip/synthetic'
import { unzipSync } from 'fflate'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { builtPage } from '../../../test/page/support/builtPage.ts'
import { consumer } from '../../../test/support/consumer.ts'
import { type PageServer, servePage } from '../../cli/src/page/servePage.ts'
import { type Browser, launch, seriousFaults } from '../../report/test/support/openPage.ts'
import { openAtRest } from './support/openAtRest.ts'

const chromium = consumer('chromium')
const ffmpeg = consumer('ffmpeg')
const size = { width: 640, height: 360 }

chromium.describe('what else is dropped on the match page', () => {
  let built: string
  let folder: string
  let browser: Browser
  let server: PageServer

  beforeAll(async () => {
    built = await builtPage()
    folder = mkdtempSync(join(tmpdir(), 'isochip-clips-'))
    browser = await launch(chromium.command!)
    server = await servePage({ folder: built, index: 'match.html', port: 0 })
    const { seats } = harbourStudio(size)
    for (const [i, name] of ['wide', 'cross'].entries()) {
      const { data, bits } = seats[i]!.shoot(seats[i]!.begin, 1)
      const frame = createFrame(size.width, size.height, data, bits)
      writeFileSync(join(folder, `${name}.png`), await encodeFrame(frame, { format: 'png' }))
    }
  })
  afterAll(async () => {
    await browser?.close()
    await server?.close()
    rmSync(folder, { recursive: true, force: true })
  })

  const opened = () => openAtRest(browser, server.address, { acceptDownloads: true })

  ffmpeg.describe('clips', () => {
    it('are read at a time by their codes: a frame of VP9 reads as the still that it was made of; scopes show both', async () => {
      const clip = join(folder, 'clip.webm')
      ffmpeg.run([
        ...[
          '-v',
          'error',
          '-f',
          'lavfi',
          '-i',
          `color=gray:size=${size.width}x${size.height}:rate=5:duration=1`,
        ],
        ...['-loop', '1', '-t', '1', '-framerate', '5', '-i', join(folder, 'wide.png')],
        ...[
          '-filter_complex',
          '[0:v]format=gbrp,setsar=1[a];[1:v]format=gbrp,setsar=1[b];[a][b]concat=n=2:v=1,zscale=matrixin=gbr:rangein=full:matrix=709:range=limited,format=yuv420p',
        ],
        ...[
          '-colorspace',
          'bt709',
          '-color_range',
          'tv',
          '-c:v',
          'libvpx-vp9',
          '-crf',
          '8',
          '-b:v',
          '0',
          '-cpu-used',
          '8',
          '-y',
          clip,
        ],
      ])
      const { page, faults } = await opened()
      try {
        await page.getByLabel('Frames of another camera').setInputFiles([join(folder, 'wide.png'), clip])
        const column = page.getByRole('region', { name: 'Camera clip' })
        // The first second is grey.
        const told = column.getByRole('alert').getByText(/was not found in the frame/)
        await told.waitFor().catch(async (cause) => {
          throw new Error(`the page says: ${await page.locator('main').textContent()}`, { cause })
        })
        await column.getByLabel('frame at').fill('1.5')
        await column.getByLabel('frame at').press('Enter')
        await page.getByText('The match is within tolerance.').waitFor()
        const [, before] = /([\d.]+) as shot/.exec((await page.locator('.figures').textContent()) ?? '')!
        // 8 bits, 4:2:0, and a codec.
        expect(Number(before)).toBeLessThan(0.6)
        await page.getByText('Scopes', { exact: true }).click()
        const scopes = page.getByRole('img', { name: /Parade, waveform and vectorscope of clip, matched/ })
        const lit = `(() => { const c = document.querySelector('.scope-strip canvas'); const g = new OffscreenCanvas(c.width, c.height).getContext('2d', { willReadFrequently: true }); g.drawImage(c, 0, 0); const { data } = g.getImageData(0, 0, c.width, c.height); return data.some((v) => v > 100 && v < 255) })()`
        await scopes.waitFor()
        await expect.poll(() => page.evaluate(lit)).toBe(true)
        // A clipped patch takes no part.
        expect(await page.locator('.scope-marks .patch').count()).toBeGreaterThanOrEqual(20)
        expect(await seriousFaults(page)).toEqual([])
        expect(faults).toEqual([])
      } finally {
        await page.context().close()
      }
    })
  })

  it('stills of every kind and readings say the same of a shot: to the code where nothing was lost, hostile names too', async () => {
    const [seat] = harbourStudio(size).seats
    const { data, bits } = seat!.shoot(seat!.begin, 1)
    const frame = createFrame(size.width, size.height, data, bits)
    const deep = createFrame(
      size.width,
      size.height,
      Uint16Array.from(data, (code) => 257 * code),
    )
    const chart = builtinChart('chart24')
    const placed = placeChart(frame, chart, undefined)
    const encoding = resolveEncoding('bt709')
    const { readings } = sampleShot([{ ...frame, warnings: [] }], placed, { chart, encoding })
    // Both ways of a name that a file may have, and one that HTML would take for its own.
    const kinds: readonly (readonly [string, Uint8Array | string, number])[] = [
      ['eight.tif', await encodeFrame(frame, { format: 'tiff' }), 0.005],
      ['sixteen.TIFF', await encodeFrame(deep, { format: 'tiff' }), 0.005],
      ['sixteen.png', await encodeFrame(deep, { format: 'png' }), 0.005],
      [
        '<b onclick=x>&amp; ünïcode “A”.jpg',
        await encodeFrame(frame, { format: 'jpeg', quality: 95, chroma: '4:4:4' }),
        0.3,
      ],
      ['readings.csv', readingsToCsv(readings), 0.02],
    ]
    const names = kinds.map(([name, bytes]) => {
      writeFileSync(join(folder, name), bytes)
      return join(folder, name)
    })
    if (ffmpeg.command !== undefined) {
      const webp = join(folder, 'lossless.webp')
      ffmpeg.run([
        '-v',
        'error',
        '-i',
        join(folder, 'wide.png'),
        '-c:v',
        'libwebp',
        '-lossless',
        '1',
        '-y',
        webp,
      ])
      names.push(webp)
    }
    const { page, faults } = await opened()
    try {
      await page.getByLabel('Frames of another camera').setInputFiles([join(folder, 'wide.png'), ...names])
      await page
        .locator('.card')
        .nth(names.length - 1)
        .waitFor()
      const figures = await page.locator('.card .figures').allTextContents()
      const asShot = figures.map((text) => Number(/([\d.]+) as shot/.exec(text)![1]))
      for (const [i, off] of asShot.entries())
        expect(off, names[i]).toBeLessThanOrEqual(kinds[i]?.[2] ?? 0.005)
      expect(await page.locator('b[onclick]').count()).toBe(0)
      expect(faults).toEqual([])
    } finally {
      await page.context().close()
    }
  })

  it('clips that the browser cannot decode are told', async () => {
    const { page, faults } = await opened()
    try {
      await page
        .getByLabel('Frames of another camera')
        .setInputFiles([
          { name: 'old.mov', mimeType: 'video/quicktime', buffer: Buffer.from('no clip at all') },
        ])
      await page
        .getByRole('alert')
        .getByText(/browser cannot decode old\.mov/)
        .waitFor()
      expect(faults).toEqual([])
    } finally {
      await page.context().close()
    }
  })

  it('a show’s borrowed setups stay, are told, and have their LUTs; nodes can be bounded', async () => {
    const show = join(folder, 'show.yaml')
    writeFileSync(
      show,
      `isochip: 1
title: Borrowed
chart: chart24
output: { size: 9 }
target: { camera: wide }
cameras:
  - { id: wide, encoding: bt709, shots: [{ setup: day, frames: [wide.png] }, { setup: night, frames: [wide.png] }] }
  - { id: cross, encoding: bt709, shots: [{ setup: day, frames: [cross.png] }, { setup: night, borrow: day }] }
`,
    )
    const { page, faults } = await opened()
    try {
      await page
        .getByLabel('Frames of another camera')
        .setInputFiles([show, join(folder, 'wide.png'), join(folder, 'cross.png')])
      await page.getByText('Borrows the match of day.').waitFor()
      await page.locator('.card').first().waitFor()
      await page.locator('.settings summary').click()
      await page.getByLabel(/nodes within 0…1/).check()
      await page.getByRole('button', { name: 'Save LUTs and report', disabled: false }).waitFor()
      const [download] = await Promise.all([
        page.waitForEvent('download'),
        page.getByRole('button', { name: 'Save LUTs and report' }).click(),
      ])
      const zip = unzipSync(readFileSync(await download.path()))
      const text = (name: string) => Buffer.from(zip[name]!).toString()
      expect(text('show.yaml')).toMatch(/setup: night\s+borrow: day/)
      expect(text('show.yaml')).toMatch(/nodes: bounded/)
      const nodes = (name: string) =>
        text(name)
          .split('\n')
          .filter((line) => /^-?[\d.]+ /.test(line))
      expect(nodes('night/cross.cube')).toEqual(nodes('day/cross.cube'))
      const values = nodes('day/cross.cube').flatMap((line) => line.split(' ').map(Number))
      expect(values.length).toBeGreaterThan(1000)
      // PNG of 8 bits, which the browser decodes here and another library there: the same codes, the same bytes.
      writeFileSync(join(folder, 'again.yaml'), zip['show.yaml']!)
      const { out } = await matchShow(join(folder, 'again.yaml'), { out: join(folder, 'again'), workers: 0 })
      expect(text('day/cross.cube')).toBe(readFileSync(join(out, 'day/cross.cube'), 'utf8'))
      expect(values.filter((value) => value < 0 || value > 1)).toEqual([])
      expect(faults).toEqual([])
    } finally {
      await page.context().close()
    }
  })
})
