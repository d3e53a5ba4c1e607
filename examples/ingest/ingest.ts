import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { isIsochipError } from '@isochip/core'
import type { Show } from '@isochip/show'
import { matchShow } from '@isochip/show/node'

/*
 * Ingest: a card arrives with one chart frame a camera. Match the cameras, leave the LUTs beside the card, and tell
 * the next step of the pipeline, as one line of JSON a camera, which LUT to use and whether to trust it.
 *
 *     npm start            (or: node --import tsx/esm ingest.ts [FOLDER FOR THE LUTS])
 */
const here = fileURLToPath(new URL('.', import.meta.url))
const out = process.argv[2] ?? join(here, 'luts')

/** A pipeline knows its cameras; it needs no show file. */
const show: Show = {
  title: 'Harbour Kitchen, card 0412',
  chart: 'chart24',
  target: { camera: 'wide' },
  working: 'bt709',
  fit: { model: 'auto' },
  output: { encoding: 'target', formats: ['cube'], size: 33 },
  tolerance: { mean: 1, max: 3 },
  cameras: [
    {
      id: 'wide',
      encoding: { transfer: 'bt709', primaries: 'p3-d65' },
      shots: [
        {
          kind: 'frames',
          setup: 'day',
          frames: ['wide/*.png'],
          corners: [
            [168.1, 76.9],
            [340.4, 79.6],
            [339.2, 192.2],
            [166.9, 191.3],
          ],
        },
      ],
    },
    {
      id: 'cross',
      encoding: {
        transfer: {
          log: { logSideSlope: 0.0833, logSideOffset: 0.62, linSideOffset: 0.006, linSideBreak: 0.005 },
        },
        primaries: 'bt2020',
      },
      shots: [
        {
          kind: 'frames',
          setup: 'day',
          frames: ['cross/*.png'],
          corners: [
            [117.7, 51.6],
            [332.3, 65.2],
            [332.3, 205.3],
            [114.7, 208.5],
          ],
        },
      ],
    },
    {
      id: 'crane',
      encoding: 'bt709',
      shots: [
        {
          kind: 'frames',
          setup: 'day',
          frames: ['crane/*.png'],
          corners: [
            [143.6, 70.7],
            [339.3, 57.1],
            [344.8, 182.4],
            [158.8, 190.4],
          ],
        },
      ],
    },
  ],
}

try {
  const result = await matchShow(show, { folder: join(here, 'card'), out })
  for (const { setup, cameras } of result.report.setups) {
    for (const { camera, lut, match } of cameras) {
      // The reference camera has no figures: there is nothing that it could differ from.
      const after = match.kind === 'fitted' ? match.summary.after : undefined
      const { mean, max, worst } = after ?? {}
      const usable =
        after === undefined || (after.mean <= show.tolerance.mean && after.max <= show.tolerance.max)
      const cautions = match.warnings.map(({ code }) => code)
      console.log(JSON.stringify({ setup, camera, lut: lut?.files[0], usable, mean, max, worst, cautions }))
    }
  }
  // A camera whose chart could not be read does not hold up the others, but a human has to look at it.
  for (const { code, message, place } of result.failures)
    console.error(JSON.stringify({ code, message, place }))
  process.exitCode = result.failures.length > 0 ? 2 : result.within ? 0 : 3
} catch (cause) {
  if (!isIsochipError(cause)) throw cause
  console.error(
    JSON.stringify({ code: cause.code, message: cause.message, hint: cause.hint, place: cause.place }),
  )
  process.exitCode = 2
}
