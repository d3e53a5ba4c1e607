import { createFrame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { harbourStudio, type StudioSeat, type StudioSettings, turned } from '@isochip/synthetic'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { builtPage } from '../../../../test/page/support/builtPage.ts'
import { consumer } from '../../../../test/support/consumer.ts'
import { type PageServer, servePage } from '../../../cli/src/page/servePage.ts'
import { type PanelTurn, studioTurn } from '../../../cli/src/studio/panel.ts'
import { type Browser, launch, type OpenPage, seriousFaults } from '../../../report/test/support/openPage.ts'
import { openAtRest } from '../support/openAtRest.ts'
import { type PlayedInputs, playInputs } from '../support/playInputs.ts'

const chromium = consumer('chromium')
const size = { width: 480, height: 270 }

/** A simulated camera, and how its controls stand. */
interface Operated {
  readonly seat: StudioSeat
  settings: StudioSettings
  shots: number
}

chromium.describe('live inputs of a studio', () => {
  let built: string
  let browser: Browser
  let server: PageServer

  beforeAll(async () => {
    built = await builtPage()
    browser = await launch(chromium.command!)
    server = await servePage({ folder: built, index: 'match.html', port: 0 })
  })
  afterAll(async () => {
    await browser?.close()
    await server?.close()
  })

  const opened = async (inputs: readonly string[]) => {
    const one = await openAtRest(browser, server.address)
    return { ...one, inputs: await playInputs(one.page, inputs) }
  }

  async function show(inputs: PlayedInputs, one: Operated): Promise<void> {
    const { data, bits } = one.seat.shoot(one.settings, ++one.shots)
    await inputs.show(
      one.seat.id,
      await encodeFrame(createFrame(size.width, size.height, data, bits), { format: 'png' }),
    )
  }

  async function connect(page: OpenPage['page'], camera: string): Promise<void> {
    await page.getByRole('button', { name: `Add ${camera}` }).click()
    await page
      .getByRole('region', { name: `Camera ${camera}` })
      .getByText('The chart is in sight.')
      .waitFor()
  }

  const read = (page: OpenPage['page'], camera: string) =>
    page
      .getByRole('region', { name: `Camera ${camera}` })
      .getByRole('button', { name: 'Take a reading' })
      .click()

  /** Frames that a live input has shown. */
  const frames = async (page: OpenPage['page'], camera: string) =>
    Number(
      await page
        .getByRole('region', { name: `Camera ${camera}` })
        .locator('.scope-strip')
        .getAttribute('data-frames'),
    )

  it('are lined up within three rounds by somebody who does what the page says', async () => {
    const seats = harbourStudio(size).seats.slice(0, 2)
    const [wide, cross] = seats.map((seat): Operated => ({ seat, settings: seat.begin, shots: 0 }))
    const { page, faults, inputs, requests } = await opened(['wide', 'cross'])
    try {
      for (const one of [wide!, cross!]) await show(inputs, one)
      await page.getByRole('button', { name: 'Use a live input …' }).click()
      for (const camera of ['wide', 'cross']) await connect(page, camera)
      await page.getByText('Show wide the chart, then take a reading.').waitFor()
      // The reference camera last: on a busy machine its reading may come in after the other's wherever it began first.
      await read(page, 'cross')
      await page.getByText('To be matched when wide, the reference camera, has the chart too.').waitFor()
      await read(page, 'wide')
      const card = page.locator('.card', { hasText: 'cross' })
      const figures = card.locator('.figures')
      await figures.waitFor()
      const asShot = async () => Number(/([\d.]+) as shot/.exec((await figures.textContent()) ?? '')?.[1])
      const path = [await asShot()]
      for (let round = 1; round <= 3 && path.at(-1)! > 1; round++) {
        const said = await card.locator('.set li').evaluateAll((items) =>
          items.map((item) => ({
            control: item.querySelector('b')!.textContent,
            text: [...item.querySelectorAll('.line')].map((line) => line.textContent).join('\n'),
          })),
        )
        for (const { control, text } of said)
          cross!.settings = turned(cross!.settings, studioTurn(done(control!, text)), cross!.seat.acts)
        const before = await figures.textContent()
        await show(inputs, cross!)
        // What comes now was taken before or while the picture changed; what comes after that was not.
        const seen = await frames(page, 'cross')
        await expect.poll(() => frames(page, 'cross')).toBeGreaterThan(seen + 3)
        await read(page, 'cross')
        await expect.poll(() => figures.textContent()).not.toBe(before)
        path.push(await asShot())
      }
      // Nothing was within tolerance to begin with.
      expect(path[0]).toBeGreaterThan(3)
      expect(path.at(-1), path.join(' → ')).toBeLessThanOrEqual(1)
      expect(await seriousFaults(page)).toEqual([])
      expect(requests.filter((url) => !url.startsWith(server.address))).toEqual([])
      expect(faults).toEqual([])
    } finally {
      await page.context().close()
    }
  })

  it('follow the chart where it goes, and say where it is no longer', async () => {
    const [seat] = harbourStudio(size).seats as [StudioSeat]
    const one: Operated = { seat, settings: seat.begin, shots: 0 }
    const { page, faults, inputs } = await opened(['wide'])
    try {
      await show(inputs, one)
      await page.getByRole('button', { name: 'Use a live input …' }).click()
      await connect(page, 'wide')
      const outline = async () =>
        /M([\d.]+) ([\d.]+)/
          .exec((await page.locator('.sight-lines .over').getAttribute('d')) ?? '')
          ?.slice(1)
          .map(Number)
      const [x, y] = (await outline())!
      // By less than the third of a patch its edges are followed; by half the frame it is found anew.
      for (const [dx, dy] of [
        [3, -3],
        [-80, 20],
      ] as const) {
        await inputs.move('wide', dx, dy)
        await expect
          .poll(
            async () =>
              ((await outline()) ?? [0, 0]).map((at, i) => Math.abs(at - [x! + dx, y! + dy][i]!) < 2),
            {
              timeout: 300_000,
            },
          )
          .toEqual([true, true])
      }
      await inputs.move('wide', 5000, 0)
      await page.getByText('No chart in sight').waitFor()
      expect(faults).toEqual([])
    } finally {
      await page.context().close()
    }
  })

  it('are told when one is unplugged; its reading stays, and plugged in again it goes on', async () => {
    const [seat] = harbourStudio(size).seats as [StudioSeat]
    const one: Operated = { seat, settings: seat.begin, shots: 0 }
    const { page, faults, inputs } = await opened(['wide'])
    try {
      await show(inputs, one)
      await page.getByRole('button', { name: 'Use a live input …' }).click()
      await connect(page, 'wide')
      await read(page, 'wide')
      const region = page.getByRole('region', { name: 'Camera wide' })
      await region.getByRole('img', { name: /24 sampled areas/ }).waitFor()
      await inputs.unplug('wide')
      await region.getByRole('alert').getByText('wide gives no picture any more').waitFor()
      expect(await region.getByRole('button', { name: 'Take a reading' }).count()).toBe(0)
      expect(await region.getByRole('img', { name: /24 sampled areas/ }).count()).toBe(1)
      await region.getByRole('button', { name: 'Reconnect' }).click()
      await region.getByRole('alert').getByText('no video input is there').waitFor()
      await inputs.plugIn('wide')
      await region.getByText('The chart is in sight.').waitFor()
      expect(await region.getByRole('alert').count()).toBe(0)
      expect(faults).toEqual([])
    } finally {
      await page.context().close()
    }
  })

  it('are let go when a show file takes the place of their cameras, also of one that is just being opened', async () => {
    const { page, faults, inputs } = await opened(['wide', 'cross'])
    try {
      await page.getByRole('button', { name: 'Use a live input …' }).click()
      await page.getByRole('button', { name: 'Add wide' }).click()
      await expect.poll(() => inputs.runs('wide')).toBe(true)
      await inputs.hold('cross')
      await page.getByRole('button', { name: 'Add cross' }).click()
      await page.getByRole('region', { name: 'Camera cross' }).waitFor()
      const show =
        'isochip: 1\nchart: chart24\ntarget: { camera: a }\ncameras: [{ id: a, encoding: bt709, frames: a.png }]\n'
      await page
        .getByLabel('Frames of another camera')
        .setInputFiles({ name: 'show.yaml', mimeType: 'text/yaml', buffer: Buffer.from(show) })
      await page.getByRole('button', { name: 'Add wide' }).waitFor()
      expect(await inputs.runs('wide')).toBe(false)
      await inputs.letGo('cross')
      await expect.poll(() => inputs.runs('cross')).toBe(false)
      expect(faults).toEqual([])
    } finally {
      await page.context().close()
    }
  })

  it('say what is wrong where the page cannot load what looks at them, and go on once it can', async () => {
    const [seat] = harbourStudio(size).seats as [StudioSeat]
    const { page, inputs } = await opened(['wide'])
    try {
      await show(inputs, { seat, settings: seat.begin, shots: 0 })
      await page.route(/liveWorker/, (route) => route.abort())
      await page.getByRole('button', { name: 'Use a live input …' }).click()
      await page.getByRole('button', { name: 'Add wide' }).click()
      const region = page.getByRole('region', { name: 'Camera wide' })
      await region
        .getByRole('alert')
        .getByText('the page cannot load the part of itself that reads wide')
        .waitFor()
      expect(await region.getByRole('button', { name: 'Take a reading' }).count()).toBe(0)
      expect(await inputs.runs('wide')).toBe(false)
      await page.unroute(/liveWorker/)
      await region.getByRole('button', { name: 'Reconnect' }).click()
      await region.getByText('The chart is in sight.').waitFor()
      await read(page, 'wide')
      await region.getByRole('img', { name: /24 sampled areas/ }).waitFor()
      expect(await region.getByRole('alert').count()).toBe(0)
    } finally {
      await page.context().close()
    }
  })

  it('are told when the browser refuses them, and when there are none', async () => {
    // Chromium without a window refuses whatever it would have to ask for.
    for (const [flags, words] of [
      [['--use-fake-device-for-media-stream'], 'The browser was not allowed to look at video inputs'],
      [
        ['--use-fake-device-for-media-stream=device-count=0', '--use-fake-ui-for-media-stream'],
        'No video input is there',
      ],
    ] as const) {
      const other = await launch(chromium.command!, flags)
      const { page, faults } = await openAtRest(other, server.address)
      try {
        await page.getByRole('button', { name: 'Use a live input …' }).click()
        await page.getByRole('alert').getByText(words, { exact: false }).waitFor()
        expect(await page.getByRole('list', { name: 'Video inputs' }).count()).toBe(0)
        expect(faults).toEqual([])
      } finally {
        await other.close()
      }
    }
  })
})

/** What a person turns who reads an instruction: the figures as they are printed. */
function done(control: string, text: string): PanelTurn {
  const number = (value: string) => Number(value.replace('−', '-'))
  if (control === 'exposure') {
    const [, way, stops] = /(open|close) ([\d.]+) stop/.exec(text)!
    return { exposure: way === 'close' ? -Number(stops) : Number(stops) }
  }
  const [first = ''] = text.split('\n')
  const turns = [...(control === 'matrix' ? text : first).matchAll(/([RGB](?:-[RGB])?) ([+−][\d.]+)/g)]
  const name = (short: string) => (control === 'pedestal' ? `pedestal ${short}` : short)
  return Object.fromEntries(turns.map(([, short, by]) => [name(short!), number(by!)]))
}
