import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { reportHtml, reportJson, residualsCsv } from '@isochip/report'
import { launch, openPage } from '../../packages/report/test/support/openPage.ts'
import { matchedShow } from '../page/support/matchedShow.ts'
import { consumerTool } from '../support/consumerTool.ts'

/**
 * Times of the report: eight cameras, 48 patches, four setups, and how long a browser takes to open it. Run from the
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
for (const [name, report] of [
  ['4 setups', show],
  ['1 setup', one],
] as const) {
  const kilobytes = Buffer.byteLength(reportHtml(report)) / 1000
  console.log(`size of the page, 8 cameras, ${name}, without pictures: ${kilobytes.toFixed(0)} kB`)
}

const chromium = consumerTool('chromium')
if (chromium.command === undefined) console.log(`not opened: ${chromium.missing}`)
else {
  const folder = mkdtempSync(join(tmpdir(), 'isochip-bench-'))
  const browser = await launch(chromium.command)
  try {
    for (const [name, report] of [
      ['8 cameras × 1 setup', one],
      ['8 cameras × 4 setups', show],
    ] as const) {
      const file = join(folder, 'report.html')
      writeFileSync(file, reportHtml(report))
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
    rmSync(folder, { recursive: true, force: true })
  }
}
