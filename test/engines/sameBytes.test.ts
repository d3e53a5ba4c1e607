import { execFileSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import { existsSync, mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { build } from 'esbuild'
import { beforeAll, expect, it } from 'vitest'
import { launch } from '../../packages/report/test/support/openPage.ts'
import { consumer } from '../support/consumer.ts'
import { scratchFolder } from '../support/scratchFolder.ts'

/*
 * ECMA-262 fixes + − × ÷ and the square root to the last bit, and leaves pow, exp, log and their like to the engine; these
 * differ between Node 20 and 24. All files of four shows are made by each engine and compared byte by byte. Other Nodes than
 * the one that runs the tests are named in ISOCHIP_NODES, paths with colons between; `.ci/run` puts 22 and 24 there.
 */
const chromium = consumer('chromium')
const others = (process.env.ISOCHIP_NODES ?? '').split(':').filter((path) => path !== '')
const folder = scratchFolder('engines')

const sums = (files: Record<string, string>): Record<string, string> =>
  Object.fromEntries(
    Object.entries(files).map(([name, text]) => [name, createHash('sha256').update(text).digest('hex')]),
  )

function byNode(node: string): Record<string, string> {
  const text = execFileSync(node, [join(folder, 'run.js')], { encoding: 'utf8', maxBuffer: 1 << 28 })
  return sums(JSON.parse(text))
}

chromium.describe('the files of a show', () => {
  let own: Record<string, string>

  beforeAll(async () => {
    mkdirSync(folder, { recursive: true })
    const entry = (then: string, outfile: string) =>
      build({
        stdin: {
          contents: `import { filesOfShows } from './filesOfShows.ts'\nvoid filesOfShows().then((files) => ${then})`,
          resolveDir: import.meta.dirname,
        },
        bundle: true,
        format: 'iife',
        target: 'es2022',
        conditions: ['@isochip/source'],
        outfile: join(folder, outfile),
      })
    await entry('process.stdout.write(JSON.stringify(files))', 'run.js')
    await entry('{ globalThis.files = files }', 'page.js')
    writeFileSync(join(folder, 'page.html'), '<meta charset="utf-8"><script src="page.js"></script>')
    own = byNode(process.execPath)
  })

  it('are all there, and none is a failure', () => {
    const names = Object.keys(own)
    // 9 cameras with a match file and a LUT at least, four reports of three files each.
    expect(names.length).toBeGreaterThan(9 * 2 + 4 * 3)
    expect(
      names.filter((name) => !/\.(?:\d|match\.json|json|html|csv)$|\/(?:ocio|light)$/.test(name)),
    ).toEqual([])
    // The LUT of the reference camera stands in several shows.
    expect(new Set(Object.values(own)).size).toBeGreaterThan(names.length - 4)
  })

  it.each(others)('are the same bytes by %s', (node) => {
    expect(existsSync(node)).toBe(true)
    expect(byNode(node)).toEqual(own)
  })

  it('are the same bytes in Chromium', async () => {
    const browser = await launch(chromium.command!)
    try {
      const page = await browser.newPage()
      await page.goto(pathToFileURL(join(folder, 'page.html')).href)
      await page.waitForFunction('globalThis.files !== undefined', undefined, { timeout: 0 })
      expect(sums((await page.evaluate('globalThis.files')) as Record<string, string>)).toEqual(own)
    } finally {
      await browser.close()
    }
  })
})
