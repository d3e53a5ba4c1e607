import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { createFrame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { harbourStudio } from '@isochip/synthetic'
import { unzipSync } from 'fflate'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { builtPage } from '../../../../test/page/support/builtPage.ts'
import { consumer } from '../../../../test/support/consumer.ts'
import { type PageServer, servePage } from '../../../cli/src/page/servePage.ts'
import { launch, seriousFaults } from '../../../report/test/support/openPage.ts'
import { barsClip, captureClip } from '../support/captureClip.ts'
import { openAtRest } from '../support/openAtRest.ts'

const chromium = consumer('chromium')
const size = { width: 640, height: 360 }

/** Chromium with its own fake capture device, which plays a clip; asked for leave, it agrees. */
const withDevice = (clip: string) =>
  launch(chromium.command!, [
    '--use-fake-device-for-media-stream',
    '--use-fake-ui-for-media-stream',
    `--use-file-for-fake-video-capture=${clip}`,
  ])

chromium.describe('a capture device, as Chromium fakes it', () => {
  let built: string
  let folder: string
  let server: PageServer

  beforeAll(async () => {
    built = await builtPage()
    folder = mkdtempSync(join(tmpdir(), 'isochip-live-'))
    server = await servePage({ folder: built, index: 'match.html', port: 0 })
  })
  afterAll(async () => {
    await server?.close()
    rmSync(folder, { recursive: true, force: true })
  })

  it('is a camera: its chart is found, and the mean of its frames reads as the frame that it was made of', async () => {
    const [seat] = harbourStudio(size).seats
    const shot = seat!.shoot(seat!.begin, 1)
    const clip = join(folder, 'chart.y4m')
    captureClip(clip, [shot, seat!.shoot(seat!.begin, 2)], { matrix: 'bt709', range: 'limited' })
    const still = join(folder, 'still.png')
    const frame = createFrame(size.width, size.height, shot.data, shot.bits)
    writeFileSync(still, await encodeFrame(frame, { format: 'png' }))
    const browser = await withDevice(clip)
    const { page, faults, requests } = await openAtRest(browser, server.address, {
      acceptDownloads: true,
    })
    try {
      await page.getByLabel('Frames of another camera').setInputFiles(still)
      await page.getByRole('button', { name: 'Use a live input …' }).click()
      await page.getByRole('list', { name: 'Video inputs' }).getByRole('button').click()
      await page.getByText('The chart is in sight.').waitFor()
      await page.getByText('640 × 360, Y′CbCr by BT.709, narrow range').waitFor()
      await page.getByRole('button', { name: 'Take a reading' }).click()
      await page.getByText('The match is within tolerance.').waitFor()
      const [, before] = /([\d.]+) as shot/.exec((await page.locator('.figures').textContent()) ?? '')!
      // 4:2:0 of 8 bits, and another noise: a wrong matrix or range is 2 and more.
      expect(Number(before)).toBeLessThan(0.4)
      expect(await seriousFaults(page)).toEqual([])
      const [download] = await Promise.all([
        page.waitForEvent('download'),
        page.getByRole('button', { name: 'Save LUTs and report' }).click(),
      ])
      const zip = unzipSync(readFileSync(await download.path()))
      const show = Buffer.from(zip['show.yaml']!).toString()
      const [, readings] = /readings: (\S+\.csv)/.exec(show)!
      expect(Buffer.from(zip[readings!]!).toString().split('\n')).toHaveLength(26)
      expect(requests.filter((url) => !url.startsWith(server.address))).toEqual([])
      expect(faults).toEqual([])
    } finally {
      await browser.close()
    }
  })

  it('has scopes of 1920 × 1080, of fewer of its pixels, and its picture through the LUT, without a GPU', async () => {
    const large = { width: 1920, height: 1080 }
    const [seat] = harbourStudio(large).seats
    const clip = join(folder, 'large.y4m')
    captureClip(clip, [seat!.shoot(seat!.begin, 1)], { matrix: 'bt709', range: 'limited' })
    const other = harbourStudio(size).seats[1]!
    const { data, bits } = other.shoot(other.begin, 1)
    const reference = join(folder, 'reference.png')
    const frame = createFrame(size.width, size.height, data, bits)
    writeFileSync(reference, await encodeFrame(frame, { format: 'png' }))
    const browser = await withDevice(clip)
    const { page, faults } = await openAtRest(browser, server.address)
    try {
      await page.getByLabel('Frames of another camera').setInputFiles(reference)
      await page.getByRole('img', { name: /24 sampled areas/ }).waitFor()
      await page.getByRole('button', { name: 'Use a live input …' }).click()
      await page.getByRole('list', { name: 'Video inputs' }).getByRole('button').click()
      await page.getByText('The chart is in sight.').waitFor()
      await page.getByText('one pixel in 4 of one line in 4').waitFor()
      const live = page.locator('.live')
      const drawn = async () => Number(await live.getByRole('figure').getAttribute('data-frames'))
      // How many a second is told by `npm run bench -- page`.
      const goesOn = async () => {
        const before = await drawn()
        await expect.poll(drawn).toBeGreaterThan(before + 2)
      }
      await goesOn()
      await page.getByRole('button', { name: 'Take a reading' }).click()
      await page.locator('.split figcaption').waitFor()
      await live.locator('.matched-picture:not([hidden])').waitFor()
      await live.scrollIntoViewIfNeeded()
      await goesOn()
      expect(faults).toEqual([])
    } finally {
      await browser.close()
    }
  })

  it('is taken for what colour bars say that it is, now and the next time', async () => {
    const clip = join(folder, 'bars.y4m')
    barsClip({ matrix: 'smpte170m', range: 'full' }, { ...size, path: clip })
    const browser = await withDevice(clip)
    const { page, faults } = await openAtRest(browser, server.address)
    try {
      const add = async () => {
        await page.getByRole('button', { name: 'Use a live input …' }).click()
        await page.getByRole('list', { name: 'Video inputs' }).getByRole('button').click()
      }
      await add()
      await page.getByText('640 × 360, Y′CbCr by BT.709, narrow range assumed').click()
      await page.getByRole('button', { name: 'Check on colour bars' }).click()
      await page.getByText(/Bars of 75 % say: BT.601, full range/).waitFor()
      await page.getByText('Y′CbCr by BT.601, full range checked on colour bars').waitFor()
      await page.getByRole('textbox', { name: 'Name of the camera' }).fill('pulpit')
      await page.getByRole('textbox', { name: 'Name of the camera' }).press('Enter')
      await page.reload()
      await add()
      await page.getByRole('region', { name: 'Camera pulpit' }).waitFor()
      await page.getByText('Y′CbCr by BT.601, full range checked on colour bars').waitFor()
      await page.getByText('No chart in sight').waitFor()
      expect(await page.getByRole('button', { name: 'Take a reading' }).isDisabled()).toBe(true)
      expect(faults).toEqual([])
    } finally {
      await browser.close()
    }
  })

  it('is taken for what the chart itself says, kept for the next time, where the chart can tell', async () => {
    for (const [number, form, words, after] of [
      // A clip of another form than the page assumes.
      [
        0,
        { matrix: 'smpte170m', range: 'full' },
        'The chart says: matrix BT.601, range full, which is set now.',
        'Y′CbCr by BT.601, full range checked on the chart',
      ],
      // One whose chart leaves it open: nothing is said to have been checked.
      [
        1,
        { matrix: 'bt709', range: 'full' },
        'The chart cannot tell the range (taken as narrow): send colour bars.',
        'Y′CbCr by BT.709, narrow range assumed, not checked',
      ],
    ] as const) {
      const seat = harbourStudio(size).seats[number]!
      const clip = join(folder, `form-${number}.y4m`)
      captureClip(clip, [seat.shoot(seat.begin, 1), seat.shoot(seat.begin, 2)], form)
      const browser = await withDevice(clip)
      const { page, faults } = await openAtRest(browser, server.address)
      try {
        const add = async () => {
          await page.getByRole('button', { name: 'Use a live input …' }).click()
          await page.getByRole('list', { name: 'Video inputs' }).getByRole('button').click()
          await page.getByText('The chart is in sight.').waitFor()
        }
        await add()
        await page.getByText('640 × 360, Y′CbCr by BT.709, narrow range assumed').click()
        await page.getByRole('button', { name: 'Check on the chart' }).click()
        await page.getByText(words, { exact: false }).waitFor()
        await page.getByText(after, { exact: false }).waitFor()
        if (number === 0) {
          await page.reload()
          await add()
          await page.getByText(after, { exact: false }).waitFor()
        }
        expect(faults).toEqual([])
      } finally {
        await browser.close()
      }
    }
  })
})
