import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { builtinChart, resolveEncoding } from '@isochip/core'
import { createFrame } from '@isochip/frames'
import { placeChart, sampleShot } from '@isochip/show'
import { harbourStudio } from '@isochip/synthetic'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { consumer } from '../../../../test/support/consumer.ts'
import { levelsOf } from '../../src/live/form/levelsOf.ts'
import type { SignalForm } from '../../src/live/form/signalForm.ts'
import { formByChart, takenAs } from '../../src/live/worker/formByChart.ts'
import { type ClipForm, captureClip } from '../support/captureClip.ts'

const ffmpeg = consumer('ffmpeg')
const size = { width: 640, height: 360 }
const chart = builtinChart('chart24')
const encoding = resolveEncoding('bt709')

// The decoding of both is linear in what is coded, so that one goes over into the other and back: BT.709-6 and BT.601-7, items 3.
it('levels that are taken as another form and back are what they were', () => {
  const [a, b]: SignalForm[] = [
    { matrix: 'bt709', range: 'narrow' },
    { matrix: 'bt601', range: 'full' },
  ]
  const there = takenAs([0.7, 0.2, 0.05], a!, b!, 'ycbcr')
  expect(Math.abs(there[0] - 0.7)).toBeGreaterThan(0.02)
  for (const [c, value] of takenAs(there, b!, a!, 'ycbcr').entries())
    expect(value).toBeCloseTo([0.7, 0.2, 0.05][c]!, 12)
})

ffmpeg.describe('a chart in a signal of ffmpeg’s making', () => {
  let folder: string
  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'isochip-form-'))
  })
  afterAll(() => rmSync(folder, { recursive: true, force: true }))

  /** The chart as read where the signal is taken for `form`. */
  function readingsBy(seat: number, clip: ClipForm, form: SignalForm) {
    const one = harbourStudio(size).seats[seat]!
    const path = join(folder, 'chart.y4m')
    captureClip(path, [one.shoot(one.begin, 1)], clip)
    const file = readFileSync(path)
    const bytes = file.subarray(file.indexOf('FRAME\n') + 6)
    const luma = size.width * size.height
    const plane = (at: number, length: number) => bytes.subarray(at, at + length)
    const { levels } = levelsOf(
      {
        kind: 'ycbcr',
        bits: 8,
        ...size,
        samples: [plane(0, luma), plane(luma, luma / 4), plane(1.25 * luma, luma / 4)],
        across: 2,
        down: 2,
      },
      form,
    )
    const frame = createFrame(size.width, size.height, levels)
    return sampleShot([{ ...frame, warnings: [] }], placeChart(frame, chart, undefined), { chart, encoding })
      .readings
  }

  it('says its matrix or range where it can, and never a wrong one', () => {
    const [narrow, full] = ['limited', 'full'] as const
    const told: string[] = []
    for (const [seat, clip, assumed] of [
      [0, { matrix: 'smpte170m', range: narrow }, { matrix: 'bt709', range: 'narrow' }],
      [1, { matrix: 'bt709', range: full }, { matrix: 'bt709', range: 'narrow' }],
      [2, { matrix: 'bt709', range: narrow }, { matrix: 'bt601', range: 'full' }],
    ] as const) {
      const truth = {
        matrix: clip.matrix === 'bt709' ? 'bt709' : 'bt601',
        range: clip.range === 'full' ? 'full' : 'narrow',
      }
      const verdict = formByChart(readingsBy(seat, clip, assumed), assumed, {
        kind: 'ycbcr',
        chart,
        encoding,
      })
      for (const part of ['matrix', 'range'] as const)
        if (verdict[part]) {
          told.push(part)
          expect(verdict.form[part], `seat ${seat}, ${part}`).toBe(truth[part])
        } else expect(verdict.form[part]).toBe(assumed[part])
    }
    expect(told.length).toBeGreaterThanOrEqual(4)
  })
})
