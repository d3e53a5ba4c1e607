import { mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { createFrame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { parseShow } from '@isochip/show'
import { beforeAll, describe, expect, test } from 'vitest'
import { scratchFolder } from '../support/scratchFolder.ts'
import { runCommand } from './support/runCommand.ts'
import { replaced, smallCameras, smallFrame } from './support/smallShow.ts'

describe('init: a folder of frames becomes a show file', () => {
  let folder: string
  beforeAll(async () => {
    folder = scratchFolder('init')
    const [wide, , crane] = smallCameras
    const grey = createFrame(480, 320, new Uint16Array(3 * 480 * 320).fill(20000), 16)
    const files: [string, Uint8Array][] = [
      ['wide/day-1.png', await smallFrame(wide!)],
      ['wide/day-2.png', await smallFrame(wide!)],
      ['crane/day-1.png', await smallFrame(crane!)],
      ['crane/rehearsal.png', await encodeFrame(grey, { format: 'png' })],
      ['still/1.png', new Uint8Array()],
      // What isochip wrote, and what is hidden, are no frames of a chart.
      ['isochip-out/day/wide.png', await smallFrame(wide!)],
      ['.trash/day-1.png', await smallFrame(wide!)],
    ]
    for (const [name, bytes] of files) {
      mkdirSync(join(folder, name, '..'), { recursive: true })
      writeFileSync(join(folder, name), bytes)
    }
    mkdirSync(join(folder, 'empty'))
  })

  test('what was seen stands in it, what was not has to be filled in; then it matches', async () => {
    const ran = await runCommand('init', folder)
    expect(ran.status).toBe(0)
    expect(ran.err).toContain('A chart was found in 2 of 4 shots.')
    expect(ran.out).toContain('chart: chart24    # found in 2 of 4 setups\n')
    // Of encodings that nobody told, those that fit the chart are named.
    expect(ran.out).toMatch(/^ {4}# Tried on the chart, mean ΔE00 that a match to its values leaves:$/m)
    expect(ran.out).not.toContain('isochip-out')
    expect(ran.out).not.toContain('.trash')
    expect(ran.out).toMatch(/^ {6}# crane\/rehearsal\.png: .*not found in the frame$/m)
    expect(ran.out).toMatch(/^ {2}#- id: still$/m)
    for (const line of ran.out.split('\n')) expect(line.length, line).toBeLessThanOrEqual(100)

    const file = join(folder, 'show.yaml')
    const written = await runCommand('init', folder, '--out', file)
    expect([written.status, written.out]).toEqual([0, `${file}\n`])
    const text = readFileSync(file, 'utf8')
    expect(text).toBe(ran.out)

    // Nothing is guessed: as it is, it is refused, at the places that say FILL IN.
    const asIs = await runCommand('match', file)
    expect(asIs.status).toBe(2)
    const lines = text.split('\n')
    const faults = [...asIs.err.matchAll(/(?:line |yaml:)(\d+)/g)].map(([, line]) => lines[Number(line) - 1])
    expect(faults).toHaveLength(3)
    for (const line of faults) expect(line).toContain('FILL IN')
    expect(asIs.err).toContain('expected a map with camera, or with reference, or with consensus, weights')

    const filled = replaced(text, 'target:    #', 'target: { camera: wide }    #').replaceAll(
      '    encoding:    #',
      '    encoding: bt709    #',
    )
    expect((await parseShow(filled)).cameras.map(({ id, shots }) => [id, shots.length])).toEqual([
      ['crane', 1],
      ['wide', 1],
    ])
    writeFileSync(file, filled)
    const matched = await runCommand('match', file)
    expect(matched.err).toBe('')
    expect(matched.status).toBe(0)

    // What was filled in is not lost to a second look.
    const again = await runCommand('init', folder, '--out', file)
    expect(again.status).toBe(2)
    expect(again.err).toContain('what was filled in would be lost')
    expect(readFileSync(file, 'utf8')).toBe(filled)
  })

  test('cards of one day are cameras of one setup, and what a PNG says of its encoding is proposed', async () => {
    const day = join(folder, 'shows', 'friday')
    const [wide, , crane] = smallCameras
    const dark = createFrame(480, 320, new Uint16Array(3 * 480 * 320).fill(900), 16)
    // The chart is in the second file of card A; sRGB is told by a chunk before the picture (PNG specification, 11.3.2).
    const tagged = (png: Uint8Array) => {
      const chunk = Buffer.from('0000000173524742' + '00' + 'aece1ce9', 'hex')
      return Buffer.concat([png.subarray(0, 33), chunk, png.subarray(33)])
    }
    const files: [string, Uint8Array][] = [
      ['A001/take1.png', await encodeFrame(dark, { format: 'png' })],
      ['A001/take2.png', tagged(await smallFrame(wide!))],
      ['B001/take1.png', tagged(await smallFrame(crane!))],
    ]
    for (const [name, bytes] of files) {
      mkdirSync(join(day, name, '..'), { recursive: true })
      writeFileSync(join(day, name), bytes)
    }
    const file = join(day, 'show.yaml')
    const ran = await runCommand('init', day, '--out', file)
    expect(ran.status).toBe(0)
    const text = readFileSync(file, 'utf8')
    expect(text.match(/- setup: default/g)).toHaveLength(2)
    expect(text).toContain('frames: [A001/take2.png]')
    expect(text).toContain('not taken: 1 more on this card')
    expect(text.match(/encoding: \{ transfer: srgb, primaries: bt709, range: full \}/g)).toHaveLength(2)
    // With the target, which nobody can guess, the first match works.
    writeFileSync(file, replaced(text, 'target:    #', 'target: { camera: A }    #'))
    const matched = await runCommand('match', file)
    expect(matched.status).not.toBe(2)
    expect(matched.out).toMatch(/^A {2}reference camera$/m)
  })

  test('paths start where the show file lies', async () => {
    const out = join(folder, 'shows')
    mkdirSync(out, { recursive: true })
    const { status } = await runCommand(
      'init',
      join(folder, 'wide'),
      '--out',
      join(out, 'wide.yaml'),
      '--chart',
      'chart24',
    )
    expect(status).toBe(0)
    expect(readFileSync(join(out, 'wide.yaml'), 'utf8')).toContain('- ../wide/day-1.png\n')
  })

  test.each([
    ['a folder that is not there', 'nowhere', 'there is no such folder'],
    ['a folder without frames', 'empty', 'there is no frame in this folder'],
  ])('%s is an error', async (_, name, message) => {
    const ran = await runCommand('init', join(folder, name))
    expect(ran.status).toBe(2)
    expect(ran.err).toContain(message)
  })
})
