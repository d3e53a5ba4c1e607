import { builtinChart, resolveEncoding } from '@isochip/core'
import { createFrame, type DecodedFrame } from '@isochip/frames'
import { harbourStudio } from '@isochip/synthetic'
import { describe, expect, test } from 'vitest'
import { ChartTrack } from '../../packages/show/src/read/chartTrack.ts'
import { sampleShot } from '../../packages/show/src/read/sampleShot.ts'

/*
 * One camera of the rendered studio, shot again and again: what is read where the chart last stood is what a search of the whole
 * frame reads, which `test/gallery` judges by where the chart was rendered.
 */

const size = { width: 640, height: 360 }
const chart = builtinChart('chart24')
const encoding = resolveEncoding('bt709')
const seat = harbourStudio(size).seats[1]!

/** @param right and @param down by how many pixels the picture has moved; what comes in is grey */
function shot(seed: number, right = 0, down = 0, change: object = {}): DecodedFrame {
  const { data, bits } = seat.shoot({ ...seat.begin, ...change }, seed)
  const { width, height } = size
  const moved = new Uint8Array(3 * width * height).fill(100)
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const [fromX, fromY] = [x - right, y - down]
      if (fromX < 0 || fromY < 0 || fromX >= width || fromY >= height) continue
      for (let c = 0; c < 3; c++) moved[3 * (y * width + x) + c] = data[3 * (fromY * width + fromX) + c]!
    }
  }
  return { ...createFrame(width, height, moved, bits), warnings: [] }
}

const read = (frame: DecodedFrame, track: ChartTrack) => {
  const placed = track.place(frame, chart)
  const { readings } = sampleShot([frame], placed, { chart, encoding })
  track.keep(readings)
  return { readings, corners: placed.corners }
}

/** Largest difference of any patch from what a search of the whole frame reads. */
function off(frame: DecodedFrame, track: ChartTrack): number {
  const own = read(frame, track).readings.patches
  const whole = read(frame, new ChartTrack()).readings.patches
  expect(own.map(({ patch }) => patch)).toEqual(whole.map(({ patch }) => patch))
  return Math.max(
    ...own.flatMap(({ rgb }, i) => rgb.map((value, c) => Math.abs(value - whole[i]!.rgb[c as 0]))),
  )
}

describe('the chart of a camera that is shot again and again', () => {
  test('is read where it last stood, though everything was turned that a line-up turns', () => {
    const track = new ChartTrack()
    expect(off(shot(1), track)).toBe(0)
    expect(track.searches).toBe(1)
    for (const [i, change] of [
      {},
      { exposure: seat.begin.exposure + 0.5 },
      { red: 1.15 * seat.begin.red, blue: 0.88 * seat.begin.blue },
      { pedestal: [0.03, 0.02, 0.03] },
    ].entries())
      expect(off(shot(2 + i, 0, 0, change), track)).toBeLessThan(0.004)
    expect(track.searches).toBe(1)
  })

  test('is followed where it moved a little', () => {
    const track = new ChartTrack()
    read(shot(1), track)
    expect(off(shot(2, 2, -1), track)).toBeLessThan(0.004)
    expect(track.searches).toBe(1)
  })

  test('is searched anew where it moved far, by whole patches too, which look the same by their edges', () => {
    const track = new ChartTrack()
    const { corners } = read(shot(1), track)
    const [a, b, , d] = corners as readonly (readonly [number, number])[]
    const { pitch } = chart.geometry!
    const across = [(b![0] - a![0]) * pitch[0], (b![1] - a![1]) * pitch[0]]
    const down = [(d![0] - a![0]) * pitch[1], (d![1] - a![1]) * pitch[1]]
    for (const [i, [x, y]] of [across, down, [-60, 20]].entries()) {
      const fresh = new ChartTrack()
      read(shot(1), fresh)
      expect(off(shot(10 + i, Math.round(x!), Math.round(y!)), fresh)).toBeLessThan(0.004)
      expect(fresh.searches).toBe(2)
    }
  })

  test('that is gone is told, and found where it comes back', () => {
    const track = new ChartTrack()
    read(shot(1), track)
    const grey = createFrame(
      size.width,
      size.height,
      new Uint8Array(3 * size.width * size.height).fill(90),
      8,
    )
    expect(() => track.place(grey, chart)).toThrow('not found')
    expect(off(shot(3), track)).toBeLessThan(0.004)
  })
})
