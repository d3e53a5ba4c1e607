import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { harbourStudio } from '@isochip/synthetic'
import { buildPage } from '../../packages/page/scripts/buildPage.ts'
import { captureClip } from '../../packages/page/test/support/captureClip.ts'
import { processorTime } from '../../packages/page/test/support/processorTime.ts'
import { serveFolder } from '../../packages/page/test/support/serveFolder.ts'
import { stillOf } from '../../packages/page/test/support/stillOf.ts'
import { yardstick, yardstickScript } from '../../packages/page/test/support/yardstick.ts'
import { launch, openPage } from '../../packages/report/test/support/openPage.ts'
import { consumerTool } from '../support/consumerTool.ts'

/**
 * What somebody waits for on the match page, in processor time of the browser: three frames of 1920 × 1080 read and matched, in
 * yardsticks of the same browser, and frames a second of a live input of 1920 × 1080. Run from the root of the project:
 * `node --import tsx/esm -C @isochip/source test/bench/pageBench.ts`. Where the system does not tell of processor time, nothing.
 */
const { command, missing } = consumerTool('chromium')
if (command === undefined) throw new Error(missing)
const size = { width: 1920, height: 1080 }
const runs = 3
const folder = mkdtempSync(join(tmpdir(), 'isochip-page-bench-'))
const built = join(folder, 'built')
await buildPage(built)
const { server, address } = await serveFolder(built, { more: { 'yardstick.js': yardstickScript } })
const page = `${address}match.html`
const mark = '--isochip-bench=page'

const say = (what: string, figures: readonly number[], aim: string) =>
  console.log(`${what.padEnd(62)} ${figures.map((one) => one.toFixed(2)).join(', ')}  (aim: ${aim})`)

/** Yardsticks that three frames take, dropped on a page whose workers have rehearsed. */
async function judged(): Promise<number[]> {
  const files: string[] = []
  for (const seat of [0, 1, 2]) files.push(await stillOf(folder, `${'abc'[seat]}.png`, seat, size))
  const browser = await launch(command!, [mark])
  const taken: number[] = []
  for (let run = 0; run < runs; run++) {
    const { page: tab } = await openPage(browser, page, { offline: false })
    // Nobody has files at hand within a few seconds; the workers have rehearsed by then.
    await tab.locator('body[data-workers=rehearsed]').waitFor()
    const first = await yardstick(tab, mark)
    const before = processorTime(mark)!
    await tab.getByLabel('Frames of another camera').setInputFiles(files)
    await tab.locator('.card').nth(1).waitFor()
    const spent = processorTime(mark)! - before
    const last = await yardstick(tab, mark)
    taken.push(spent / ((first! + last!) / 2))
    await tab.context().close()
  }
  await browser.close()
  return taken
}

/** Frames that a live input shows in a second of two processors: its scopes alone, and with its picture through the LUT. */
async function shown(): Promise<readonly [scopes: number, matched: number][]> {
  const [seat] = harbourStudio(size).seats
  const clip = join(folder, 'large.y4m')
  captureClip(clip, [seat!.shoot(seat!.begin, 1)], { matrix: 'bt709', range: 'limited' }, 30)
  const reference = await stillOf(folder, 'reference.png', 1, { width: 1280, height: 720 })
  const rates: [number, number][] = []
  for (let run = 0; run < runs; run++) {
    // Chromium's own fake device plays the clip; asked for leave, it agrees.
    const browser = await launch(command!, [
      mark,
      '--use-fake-device-for-media-stream',
      '--use-fake-ui-for-media-stream',
      `--use-file-for-fake-video-capture=${clip}`,
    ])
    const { page: tab } = await openPage(browser, `${page}#no-rehearsal`, { offline: false })
    await tab.getByLabel('Frames of another camera').setInputFiles(reference)
    await tab.getByRole('img', { name: /24 sampled areas/ }).waitFor()
    await tab.getByRole('button', { name: 'Use a live input …' }).click()
    await tab.getByRole('list', { name: 'Video inputs' }).getByRole('button').click()
    await tab.getByText('The chart is in sight.').waitFor()
    const live = tab.locator('.live')
    const drawn = async () => Number(await live.getByRole('figure').getAttribute('data-frames'))
    // Capture, page and screen are in it, by software all of them.
    const rate = async () => {
      const [frames, spent] = [await drawn(), processorTime(mark)!]
      do await tab.waitForTimeout(2000)
      while ((await drawn()) <= frames + 10)
      return (2 * ((await drawn()) - frames)) / (processorTime(mark)! - spent)
    }
    const scopes = await rate()
    await tab.getByRole('button', { name: 'Take a reading' }).click()
    await tab.locator('.split figcaption').waitFor()
    await live.locator('.matched-picture:not([hidden])').waitFor()
    await live.scrollIntoViewIfNeeded()
    rates.push([scopes, await rate()])
    await browser.close()
  }
  return rates
}

try {
  // Three seconds of two processors are six yardsticks of an idle machine; twice over, everything read and matched was 3.4 to 3.9.
  say('three frames of 1920 × 1080, yardsticks', await judged(), 'under 3.1')
  const rates = await shown()
  say(
    'live, scopes, frames a second of two processors',
    rates.map(([scopes]) => scopes),
    'above 25',
  )
  say(
    'live, scopes and the picture through the LUT',
    rates.map(([, matched]) => matched),
    'above 25',
  )
} finally {
  server.close()
  rmSync(folder, { recursive: true, force: true })
}
