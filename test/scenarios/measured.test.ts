import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { resolveTransfer } from '@isochip/core'
import { createFrame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { parseMatchFile } from '@isochip/show'
import { matchShow, verifyShow } from '@isochip/show/node'
import { renderHarbourKitchen } from '@isochip/synthetic'
import { beforeAll, describe, expect, test } from 'vitest'
import { fitted } from '../../packages/show/test/fitted.ts'
import { scratchFolder } from '../support/scratchFolder.ts'
import { runCommand } from './support/runCommand.ts'
import { replaced } from './support/smallShow.ts'

/* The demo, with the curve of one of its cameras (BT.709) not told. */

describe('transfer: measured', () => {
  let folder: string
  let known: string
  const show = (name: string, text: string) => {
    const file = join(folder, name)
    writeFileSync(file, text)
    return file
  }
  beforeAll(async () => {
    folder = scratchFolder('measured')
    const kitchen = renderHarbourKitchen({ width: 640, height: 360 })
    known = kitchen.show
    for (const shot of kitchen.shots) {
      for (const { name, frame } of shot.render()) {
        const { width, height, data, bits } = frame
        mkdirSync(dirname(join(folder, name)), { recursive: true })
        writeFileSync(
          join(folder, name),
          await encodeFrame(createFrame(width, height, data, bits), { format: 'png' }),
        )
      }
    }
  })
  const unknown = () => replaced(known, '    encoding: bt709\n', '    encoding: measured\n')

  test('a camera whose curve is not told is matched as well as with it, and its LUT and match file hold the curve', async () => {
    const options = { cache: join(folder, 'cache'), workers: 0 }
    const told = await matchShow(show('known.yaml', known), { ...options, write: false })
    const out = join(folder, 'out')
    const file = show('show.yaml', unknown())
    const { matches, failures } = await matchShow(file, { ...options, out })
    expect(failures).toEqual([])
    for (const setup of ['day', 'evening']) {
      const of = (list: typeof matches) =>
        fitted(list.find((one) => one.camera === 'crane' && one.setup === setup)!)
      const [with709, without] = [of(told.matches), of(matches)]
      expect(without.summary.after.mean).toBeLessThan(1)
      // What is measured on six grey levels costs a tenth of ΔE00 at most against knowing it, on patches not seen too.
      expect(without.summary.after.mean).toBeLessThan(with709.summary.after.mean + 0.1)
      expect(without.summary.leaveOneOut!.mean).toBeLessThan(with709.summary.leaveOneOut!.mean + 0.1)
      expect(without.warnings.map(({ code }) => code)).toContain('curve-measured')

      // The curve found is BT.709's, but for a factor and an offset: its slope in every tenth is that of the standard,
      // to the noise of the frames and what lies between two greys (1.2 % was seen in frames of 1920 × 1080).
      const written = await parseMatchFile(
        readFileSync(join(out, setup, 'crane.match.json'), 'utf8'),
        'crane.match.json',
      )
      expect(written.sourceEncoding).toMatchObject({ primaries: 'bt709', range: 'full' })
      const head = readFileSync(join(out, setup, 'crane.cube'), 'utf8').slice(0, 1000)
      expect(head).toContain('in:  curve measured on the chart, primaries bt709, full range')
      const transfer = resolveTransfer(written.sourceEncoding.transfer)
      const bt709 = resolveTransfer('bt709')
      const codes = [0.2, 0.3, 0.4, 0.5, 0.6, 0.7]
      for (const c of [0, 1, 2] as const) {
        const slope = (a: number, b: number) =>
          (transfer.decode(b, c) - transfer.decode(a, c)) / (bt709.decode(b, c) - bt709.decode(a, c))
        const whole = slope(0.2, 0.7)
        for (const [i, code] of codes.slice(1).entries())
          expect(Math.abs(slope(codes[i]!, code) / whole - 1), `${setup} ${c} at ${code}`).toBeLessThan(0.03)
      }
    }

    const verified = await verifyShow(file, { luts: out, workers: 0 })
    expect(verified.failures).toEqual([])
    const now = verified.setups.flatMap(({ cameras }) => cameras).filter(({ camera }) => camera === 'crane')
    for (const one of now) {
      expect(Math.abs(one.now!.mean - one.made!.mean)).toBeLessThan(0.1)
      expect(Math.abs(one.drift!.exposure)).toBeLessThan(0.01)
    }
  })

  test('the mean of the cameras is of those whose encoding is known; a comparison leaves the other out', async () => {
    const text = replaced(unknown(), 'target: { camera: wide }', 'target: { consensus: true }')
    const file = show('mean.yaml', text)
    const told = await matchShow(
      show(
        'mean-known.yaml',
        replaced(known, 'target: { camera: wide }', 'target: { consensus: true, weights: { crane: 0 } }'),
      ),
      { write: false, cache: join(folder, 'cache'), workers: 0 },
    )
    const { matches } = await matchShow(file, { write: false, cache: join(folder, 'cache'), workers: 0 })
    const target = (list: typeof matches, camera: string) =>
      fitted(list.find((one) => one.camera === camera && one.setup === 'day')!).patches.map(
        (patch) => patch.target,
      )
    expect(target(matches, 'cross')).toEqual(target(told.matches, 'cross'))
    expect(target(matches, 'crane')).toEqual(target(matches, 'cross'))

    const compared = await runCommand('compare', file)
    expect(compared.status).toBe(0)
    expect(compared.out + compared.err).toContain(
      'crane is left out: without its curve nothing is known of its responses',
    )
  })

  test.each([
    [
      'the target itself',
      () =>
        replaced(
          known,
          '    encoding:\n      transfer: bt709\n',
          '    encoding:\n      transfer: measured\n',
        ),
      'camera "wide" is the target, and its curve cannot be measured against itself',
    ],
    [
      'an output',
      () => `${known}output: { encoding: measured }\n`,
      'output.encoding: found "measured", expected',
    ],
    [
      'all but one camera of a mean',
      () =>
        replaced(unknown(), 'target: { camera: wide }', 'target: { consensus: true }').replace(
          /transfer: \{ log.*/,
          'transfer: measured',
        ),
      'the mean is of the cameras whose encoding is known, and there are fewer than two of them',
    ],
  ])('cannot be %s', async (_, text, message) => {
    const ran = await runCommand('match', show('wrong.yaml', text()))
    expect(ran.status).toBe(2)
    expect(ran.err).toContain(message)
    expect(ran.err).toMatch(/wrong\.yaml:\d+:\d+/)
  })
})
