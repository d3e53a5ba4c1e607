import { mkdtempSync, rmSync, statSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { reportHtml, reportJson, residualsCsv } from '@isochip/report'
import { matchShow } from '@isochip/show/node'
import { launch, openPage } from '../../packages/report/test/support/openPage.ts'
import { matchedShow } from '../page/support/matchedShow.ts'
import { consumerTool } from '../support/consumerTool.ts'
import { writeLargeShow } from '../support/largeShow.ts'

/**
 * Times and sizes of the report: eight cameras, 48 patches, one setup and four, and how long a browser takes to open it. Run from the
 * root of the project: `node --import tsx/esm -C @isochip/source test/bench/reportBench.ts`.
 */
const cameras = ['wide', 'cross', 'crane', 'roving', 'close', 'rail', 'pole', 'pocket']
const setups = ['day', 'evening', 'night', 'rain']

/** Median of seven runs after one that warms up, in milliseconds. */
function median(run: () => void): number {
  run()
  const times = Array.from({ length: 7 }, () => {
    const start = performance.now()
    run()
    return performance.now() - start
  })
  return times.sort((a, b) => a - b)[3]!
}

const show = matchedShow(cameras, setups)
const one = matchedShow(cameras, setups.slice(0, 1))

const say = (what: string, milliseconds: number, limit?: number) =>
  console.log(
    `${what.padEnd(58)} ${milliseconds.toFixed(0).padStart(6)} ms${limit === undefined ? '' : `  (aim: under ${limit} ms)`}`,
  )

say(
  'page, 8 cameras × 48 patches × 4 setups',
  median(() => reportHtml(show)),
  2000,
)
say(
  'JSON of the same',
  median(() => reportJson(show)),
)
say(
  'CSV of the same',
  median(() => residualsCsv(show)),
)

const folder = mkdtempSync(join(tmpdir(), 'isochip-bench-'))
try {
  const pages: { name: string; file: string }[] = []
  for (const [name, count, report] of [
    ['8 cameras × 1 setup', 1, one],
    ['8 cameras × 4 setups', 4, show],
  ] as const) {
    const drawings = Buffer.byteLength(reportHtml(report))
    // The same from frames, so that the pictures are in it.
    const size = { cameras: cameras.length, setups: count, width: 960, height: 540 }
    const path = await writeLargeShow(join(folder, String(count)), {
      ...size,
      corners: true,
      chart: 'quay48',
    })
    const { out } = await matchShow(path)
    const file = join(out, 'report.html')
    pages.push({ name, file })
    console.log(
      `size of the page, ${name}`.padEnd(58),
      `${(statSync(file).size / 1000).toFixed(0).padStart(6)} kB  (without pictures: ${(drawings / 1000).toFixed(0)} kB${count === 1 ? '; aim: under 1500 kB' : ''})`,
    )
  }
  const chromium = consumerTool('chromium')
  if (chromium.command === undefined) console.log(`not opened: ${chromium.missing}`)
  else await open(chromium.command, pages)
} finally {
  rmSync(folder, { recursive: true, force: true })
}

/** How long a browser takes until something is seen, and until everything is there: medians of five. */
async function open(command: string, pages: readonly { name: string; file: string }[]): Promise<void> {
  const browser = await launch(command)
  try {
    for (const { name, file } of pages) {
      const times: { open: number; painted: number }[] = []
      for (let i = 0; i < 5; i++) {
        const { page } = await openPage(browser, pathToFileURL(file).href)
        times.push(
          (await page.evaluate(`new Promise((done) => requestAnimationFrame(() => setTimeout(() => done({
            open: performance.getEntriesByType('navigation')[0].loadEventEnd,
            painted: performance.getEntriesByName('first-contentful-paint')[0].startTime,
          }))))`)) as { open: number; painted: number },
        )
        await page.context().close()
      }
      const middle = (of: (time: { open: number; painted: number }) => number) =>
        times.map(of).sort((a, b) => a - b)[2]!
      say(
        `opening it in a browser, ${name}: first sight`,
        middle((time) => time.painted),
        1000,
      )
      say(
        `opening it in a browser, ${name}: loaded`,
        middle((time) => time.open),
        1000,
      )
    }
  } finally {
    await browser.close()
  }
}
