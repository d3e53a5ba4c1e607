import { expect, it } from 'vitest'
import { consumer } from '../../../../test/support/consumer.ts'
import { checkBars } from '../../src/live/form/checkBars.ts'
import type { Planes } from '../../src/live/form/planes.ts'
import { barsClip, type ClipForm } from '../support/captureClip.ts'

const ffmpeg = consumer('ffmpeg')
const width = 1920
const height = 1080

/** The first frame of planar 4:2:0. */
function planesIn(bytes: Uint8Array): Planes {
  const luma = width * height
  const chroma = luma / 4
  return {
    kind: 'ycbcr',
    width,
    height,
    bits: 8,
    samples: [
      bytes.subarray(0, luma),
      bytes.subarray(luma, luma + chroma),
      bytes.subarray(luma + chroma, luma + 2 * chroma),
    ],
    across: 2,
    down: 2,
  }
}

ffmpeg.describe('colour bars of ffmpeg’s making (SMPTE RP 219)', () => {
  const names = { bt709: 'bt709', smpte170m: 'bt601', bt2020nc: 'bt2020' } as const
  const forms = (['bt709', 'smpte170m', 'bt2020nc'] as const).flatMap((matrix) =>
    (['limited', 'full'] as const).map((range): ClipForm => ({ matrix, range })),
  )
  it.each(forms)('say matrix $matrix and range $range', (form) => {
    const verdict = checkBars(planesIn(barsClip(form, { width, height })))
    expect(verdict?.form).toEqual({
      matrix: names[form.matrix],
      range: form.range === 'full' ? 'full' : 'narrow',
    })
    expect(verdict?.level).toBe(0.75)
    expect(verdict?.off).toBeLessThan(1)
  })

  it('say nothing where something else is shown: a grey frame, a ramp, bars with their colours turned down', () => {
    const grey = planesIn(new Uint8Array(1.5 * width * height).fill(128))
    expect(checkBars(grey)).toBeUndefined()
    const bars = barsClip({ matrix: 'bt709', range: 'limited' }, { width, height })
    const pale = Uint8Array.from(bars, (code, i) =>
      i < width * height ? code : Math.round(128 + 0.6 * (code - 128)),
    )
    expect(checkBars(planesIn(pale))).toBeUndefined()
    const ramp = new Uint8Array(1.5 * width * height).fill(128)
    for (let i = 0; i < width * height; i++) ramp[i] = 16 + (219 * (i % width)) / width
    expect(checkBars(planesIn(ramp))).toBeUndefined()
  })
})
