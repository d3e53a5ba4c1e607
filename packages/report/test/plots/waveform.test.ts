import type { Vec3 } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { waveform, waveformGraticule, waveformScale, waveformSpan } from '../../src/plots/camera/waveform.ts'
import { gridCells } from '../support/gridCells.ts'
import { elements, patchGroup, rounding, withClass } from '../support/svg.ts'

const grey = (level: number): Vec3 => [level, level, level]
const patch = (index: number, source: Vec3, matched = source, target = matched) => ({
  index,
  code: { source, matched, target },
})

/** Starts and heights of the traces in a path: one for each channel. */
const traces = (d: string) =>
  [...d.matchAll(/M([\d.-]+) ([\d.-]+)h([\d.]+)/g)].map(([, x, y, length]) => ({
    x: Number(x),
    y: Number(y),
    length: Number(length),
  }))

describe('waveform', () => {
  it('has at the right the 10-bit narrow-range codes of the levels at the left', () => {
    const ticks = withClass(waveformGraticule, 'text', 'tick').map(({ y }) => y)
    const texts = [...waveformGraticule.text.matchAll(/class="tick(?: end)?"[^>]*>([^<]+)</g)].map(
      ([, text]) => text,
    )
    // ITU-R BT.709-6, item 4.6: black is 64, peak 940.
    const right = Object.fromEntries(texts.map((text, i) => [text, i]))
    expect(right).toHaveProperty('64')
    expect(right).toHaveProperty('940')
    expect(texts[right['64']! - 1]).toBe('0')
    expect(texts[right['940']! - 1]).toBe('100')
    expect(ticks.length).toBeGreaterThan(6)
    // EBU R 103 prints the preferred range of R′G′B′, −5 % to 105 %, as 20 to 984 in 10 bits. From memory.
    const [low, , , high] = traces(elements(waveformGraticule, 'path').find(({ id }) => id === 'legal')!.d!)
    for (const [line, code] of [
      [low, 20],
      [high, 984],
    ] as const) {
      expect(Math.abs(line!.y - waveformScale((code - 64) / 876))).toBeLessThan(rounding + 0.1)
    }
  })

  it('puts 75 % white of colour bars on 721 in all channels, and yellow without blue', () => {
    // SMPTE RP 219: 75 % white is 721 in Y′ of 10 bits. From memory.
    const y = waveformScale((721 - 64) / 876)
    const picture = waveform(
      [patch(0, grey(0.75)), patch(1, [0.75, 0.75, 0])],
      gridCells(1, 2),
      false,
      'test',
    )
    const [white, yellow] = [0, 1].map((index) =>
      traces(/class="mt" d="([^"]+)"/.exec(patchGroup(picture, index))![1]!),
    )
    expect(white).toHaveLength(3)
    for (const trace of [...white!, yellow![0]!, yellow![1]!]) {
      // A code is right to half a code.
      expect(Math.abs(trace.y - y)).toBeLessThan(
        rounding + Math.abs(waveformScale(0.5 / 876) - waveformScale(0)),
      )
    }
    expect(Math.abs(yellow![2]!.y - waveformScale(0))).toBeLessThan(rounding)
  })

  it('has each patch at its place across the chart, one row over another', () => {
    const [first, second, below] = [0, 1, 6].map((index) => waveformSpan(index, gridCells(2, 6)))
    expect(second!.from).toBeGreaterThan(first!.from + first!.length)
    expect(below).toEqual(first)
    const picture = waveform([patch(1, grey(0.5))], gridCells(1, 6), false, 'test')
    const [red, green] = traces(/class="as" d="([^"]+)"/.exec(patchGroup(picture, 1))![1]!)
    expect(green!.x - red!.x).toBeGreaterThan(
      6 * (first!.length + (second!.from - first!.from - first!.length)),
    )
    expect(Math.abs(red!.length - second!.length)).toBeLessThan(rounding)
  })

  it('lets the target reach out at both ends of the match, and cuts off what no code can carry', () => {
    const picture = waveform([patch(0, grey(3), grey(0.5), grey(0.4))], gridCells(1, 1), true, 'test')
    const group = patchGroup(picture, 0)
    const of = (stage: string) => traces(new RegExp(`class="${stage}" d="([^"]+)"`).exec(group)![1]!)[0]!
    expect(of('aim').x).toBeLessThan(of('mt').x)
    expect(of('aim').x + of('aim').length).toBeGreaterThan(of('mt').x + of('mt').length)
    expect(of('aim').y).toBeGreaterThan(of('mt').y)
    expect(of('as').y).toBe(waveformScale.range()[1])
    expect(picture.text).toContain('#legal')
  })
})
