import { readFileSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { readingsToCsv } from '@isochip/frames'
import { expect, test } from 'vitest'
import { filesBelow } from '../support/filesBelow.ts'
import { writeLargeShow } from '../support/largeShow.ts'
import { noControls } from '../support/noControls.ts'
import { scratchFolder } from '../support/scratchFolder.ts'
import { runCommand } from './support/runCommand.ts'
import { smallCameras, smallReadings, writeSmallShow } from './support/smallShow.ts'

/** Three cameras in so many setups, by readings. */
function showText(setups: readonly string[]): string {
  const cameras = smallCameras.map(({ id, encoding }) => {
    const shots = setups.map((setup) => `      - { setup: "${setup}", readings: ${id}.csv }`)
    return `  - id: ${id}\n    encoding: ${encoding}\n    controls: ${JSON.stringify(noControls)}\n    shots:\n${shots.join('\n')}\n`
  })
  return `isochip: 1\ntitle: Many\nchart: chart24\ntarget: { camera: wide }\nfit: { model: lift-gain, objective: linear }\noutput: { size: 2 }\ncameras:\n${cameras.join('')}`
}

const readings = Object.fromEntries(
  smallCameras.map((camera) => [`${camera.id}.csv`, readingsToCsv(smallReadings(camera))]),
)
const numbered = (count: number) => Array.from({ length: count }, (_, i) => `day ${i + 1}`)
const pages = (out: string) => filesBelow(out).filter((name) => name.endsWith('.html'))

test('a large show: a page of the whole, and one for each setup that its verdict leads to', async () => {
  const setups = numbered(11)
  const folder = await writeSmallShow({ ...readings, 'show.yaml': showText(setups) })
  const { status } = await runCommand('match', join(folder, 'show.yaml'))
  expect(status).not.toBe(2)
  const out = join(folder, 'isochip-out')
  expect(pages(out).sort()).toEqual([...setups.map((setup) => `${setup}/report.html`), 'report.html'].sort())
  const whole = readFileSync(join(out, 'report.html'), 'utf8')
  const links = [...whole.matchAll(/href="?([^" >]+)"?/g)]
    .map(([, href]) => href!)
    .filter((href) => !href.startsWith('#'))
  // Every setup, and every camera in it, at the least.
  expect(new Set(links).size).toBeGreaterThanOrEqual(11 * 4)
  for (const link of links) {
    const [file, anchor] = link.split('#')
    const page = readFileSync(join(out, decodeURIComponent(file!)), 'utf8')
    expect(page, link).toMatch(new RegExp(`id="?${anchor}[" >]`))
    expect(page, link).toMatch(/href="?\.\.\/report\.html[" >]/)
  }
  // The pictures are there, and not here.
  expect(whole).not.toContain('<article')
  expect(whole.length).toBeLessThan(300_000)
})

test('pages of setups that lack a match or borrow one say so, and are the same in a run after', async () => {
  const setups = numbered(11)
  const lent = `{ setup: "day 11", readings: crane.csv }`
  const text = showText(setups)
    .replace('{ setup: "day 4", readings: cross.csv }', '{ setup: "day 4", readings: gone.csv }')
    .replace(lent, '{ setup: "day 11", borrow: "day 1" }')
  expect(text).not.toContain(lent)
  const folder = await writeSmallShow({ ...readings, 'show.yaml': text })
  const out = join(folder, 'isochip-out')
  const cache = join(folder, 'cache')
  const first = await runCommand('match', join(folder, 'show.yaml'), '--cache', cache)
  expect(first.status).toBe(2)
  // A match is missing, and the show is as large as it was.
  expect(pages(out)).toHaveLength(12)
  const page = (setup: string) => readFileSync(join(out, setup, 'report.html'), 'utf8')
  expect(page('day 4')).toContain('there is no file gone.csv')
  expect(page('day 5')).not.toContain('gone.csv')
  expect(page('day 11')).toMatch(/no chart was shot in setup [^<]*match of setup [^<]*day 1[^1]/)
  const before = pages(out).map((name) => readFileSync(join(out, name), 'utf8'))
  const again = await runCommand('match', join(folder, 'show.yaml'), '--cache', cache)
  expect(again.status).toBe(2)
  expect(pages(out).map((name) => readFileSync(join(out, name), 'utf8'))).toEqual(before)
})

test('of a show of any length the pages of the setups have the frames', async () => {
  // One shot more than are shown on one page.
  const size = {
    cameras: 3,
    setups: 11,
    width: 240,
    height: 136,
    corners: true,
    lattice: 9,
    controls: noControls,
  }
  const folder = scratchFolder('setup-pages')
  const show = await writeLargeShow(folder, size)
  const frames = (out: string) =>
    pages(join(folder, out)).map((name) => {
      const page = readFileSync(join(folder, out, name), 'utf8')
      return [name, page.match(/data:image\/jpeg;base64,/g)?.length ?? 0]
    })
  const cache = join(folder, 'cache')
  expect((await runCommand('match', show, '--out', join(folder, 'out'), '--cache', cache)).status).not.toBe(2)
  // Sampled areas of three cameras, as shot and matched of two, and the target's own frame.
  const each = Array.from({ length: 11 }, (_, i) => [`scene${String(i + 1).padStart(3, '0')}/report.html`, 8])
  expect(frames('out').sort()).toEqual([['report.html', 0], ...each].sort())
  // A page that is gone comes back with the pictures that were kept.
  rmSync(join(folder, 'out', 'scene003', 'report.html'))
  const again = await runCommand('match', show, '--out', join(folder, 'out'), '--cache', cache)
  expect(again.status).not.toBe(2)
  expect(frames('out').sort()).toEqual([['report.html', 0], ...each].sort())
})

test('one of up to 32 shots has one page', async () => {
  const folder = await writeSmallShow({ ...readings, 'show.yaml': showText(numbered(10)) })
  await runCommand('match', join(folder, 'show.yaml'))
  expect(pages(join(folder, 'isochip-out'))).toEqual(['report.html'])
})
