import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { builtinChart } from '@isochip/core'
import { createFrame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { expect, it } from 'vitest'
import { scratchFolder } from '../../../test/support/scratchFolder.ts'
import { readCharts } from '../src/node.ts'

it('ends with its signal, and writes nothing', async () => {
  const folder = scratchFolder('read-charts')
  const frame = join(folder, 'frame.png')
  writeFileSync(
    frame,
    await encodeFrame(createFrame(64, 48, new Uint16Array(3 * 64 * 48)), { format: 'png' }),
  )
  const picture = join(folder, 'picture.png')
  const reading = readCharts([frame], {
    chart: builtinChart('chart24'),
    corners: [
      [4, 4],
      [60, 4],
      [60, 44],
      [4, 44],
    ],
    picture,
    signal: AbortSignal.abort(),
  })
  await expect(reading).rejects.toMatchObject({ code: 'cancelled' })
})
