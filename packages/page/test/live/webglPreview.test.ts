import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { build } from 'vite'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { consumer } from '../../../../test/support/consumer.ts'
import { type PageServer, servePage } from '../../../cli/src/page/servePage.ts'
import { type Browser, launch, openPage } from '../../../report/test/support/openPage.ts'

const chromium = consumer('chromium')
const source = (name: string) =>
  JSON.stringify(fileURLToPath(new URL(`../../src/live/picture/${name}`, import.meta.url)))

/** Draws the same planes on both, and says how far they are apart: codes of 8 bits. */
const script = `
import { plainPreview } from ${source('plainPreview.ts')}
import { ShownLevels } from ${source('ShownLevels.ts')}
import { webglPreview } from ${source('webglPreview.ts')}
let seed = 5
const random = () => (seed = (seed * 48271) % 2147483647) / 2147483647
const size = 9
const table = Float32Array.from({ length: 3 * size ** 3 }, (_, i) => {
  const node = Math.floor(i / 3)
  const at = [node % size, Math.floor(node / size) % size, Math.floor(node / size ** 2)][i % 3] / (size - 1)
  return Math.min(Math.max(0.1 + 0.8 * at ** 1.3 + 0.02 * random(), 0), 1)
})
const [width, height] = [96, 54]
const planes = (kind, across, bits) => {
  const chroma = Math.ceil(width / across) * Math.ceil(height / across)
  const make = (length) => (bits === 8 ? Uint8Array : Uint16Array).from({ length }, () => 2 ** (bits - 8) * Math.floor(30 + 190 * random()))
  const samples = [make(width * height), make(chroma), make(chroma)]
  return { kind, width, height, bits, samples, across, down: across }
}
function pixels(make, frame, form) {
  const canvas = new OffscreenCanvas(8, 8)
  const preview = make(canvas)
  const lattice = { kind: 'lattice', size, domainMin: [0, 0, 0], domainMax: [1, 1, 1], tableRedFastest: table }
  preview.draw(new ShownLevels(frame, form, lattice))
  const flat = new OffscreenCanvas(canvas.width, canvas.height).getContext('2d')
  flat.drawImage(canvas, 0, 0)
  return flat.getImageData(0, 0, canvas.width, canvas.height).data
}
globalThis.far = (kind, across, bits, form) => {
  const frame = planes(kind, across, bits)
  const plain = pixels(plainPreview, frame, form)
  const drawn = pixels((canvas) => webglPreview(canvas, true), frame, form)
  if (plain.length !== drawn.length) return Infinity
  let most = 0
  for (let i = 0; i < plain.length; i++) most = Math.max(most, Math.abs(plain[i] - drawn[i]))
  return most
}
globalThis.slow = () => webglPreview(new OffscreenCanvas(8, 8)) === undefined
`

chromium.describe('the LUT on WebGL 2 and on a plain canvas', () => {
  let folder: string
  let browser: Browser
  let server: PageServer

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'isochip-webgl-'))
    writeFileSync(join(folder, 'in.js'), script)
    writeFileSync(
      join(folder, 'index.html'),
      '<!doctype html><link rel="icon" href="data:,"><script type="module" src="./in.js"></script>',
    )
    await build({
      configFile: false,
      root: folder,
      base: './',
      logLevel: 'error',
      resolve: { conditions: ['@isochip/source', 'module', 'browser'] },
      build: { outDir: join(folder, 'out'), modulePreload: { polyfill: false } },
    })
    browser = await launch(chromium.command!)
    server = await servePage({ folder: join(folder, 'out'), index: 'index.html', port: 0 })
  })
  afterAll(async () => {
    await browser?.close()
    await server?.close()
    rmSync(folder, { recursive: true, force: true })
  })

  it('leave WebGL alone where there is no GPU: this browser was started without one', async () => {
    const { page } = await openPage(browser, server.address, { offline: false })
    try {
      await page.waitForFunction('globalThis.slow !== undefined')
      expect(await page.evaluate('slow()')).toBe(true)
    } finally {
      await page.context().close()
    }
  })

  it.each([
    ['ycbcr', 1, 8, { matrix: 'bt709', range: 'narrow' }],
    ['ycbcr', 1, 10, { matrix: 'bt2020', range: 'narrow' }],
    ['ycbcr', 1, 8, { matrix: 'bt601', range: 'full' }],
    ['rgb', 1, 8, { matrix: 'bt709', range: 'full' }],
  ] as const)('show the same: %s, %i, %i bits, %o', async (kind, across, bits, form) => {
    const { page, faults } = await openPage(browser, server.address, { offline: false })
    try {
      await page.waitForFunction('globalThis.far !== undefined')
      // Halves in the texture, and rounding to 8 bits on either side.
      expect(
        await page.evaluate(`far('${kind}', ${across}, ${bits}, ${JSON.stringify(form)})`),
      ).toBeLessThanOrEqual(2)
      expect(faults.filter((fault) => !/GPU stall/.test(fault))).toEqual([])
    } finally {
      await page.context().close()
    }
  })
})
