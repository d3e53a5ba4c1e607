import { builtinChart, resolveEncoding } from '@isochip/core'
import { foreignPatches, refineChart, sampleChart } from '@isochip/frames'
import { scene } from '@isochip/synthetic'
import { expect, test } from 'vitest'
import { gradeScene, outcomeOf } from '../gallery/gradeScene.ts'
import { wholeTask } from '../support/wholeTask.ts'

/* A part of what test/gallery/findRegions.ts runs whole. */
const chart = builtinChart('buoy47')
/** Blur of four pixels and 2.2 stops over, where light patches grow: corners were off by 0.17 patches once. */
const blurred = 33099
const numbers = [...Array.from({ length: wholeTask ? 24 : 4 }, (_, i) => 20003 + i), blurred]

test('a chart of regions is found in cluttered scenes or its mirror refused, and no answer is wrong', () => {
  for (const number of numbers) {
    const { grade } = outcomeOf(scene(number, [chart]))
    expect(grade.outcome, `scene ${number}: ${grade.message}`).toBe(
      grade.mirrored ? 'mirror refused' : 'found',
    )
    if (grade.outcome === 'found') expect(grade.cornerError, `scene ${number}`).toBeLessThan(0.15)
  }
})

test('its levels are the rendered ones to 0.3 % of full scale, without noise', () => {
  const { grade } = gradeScene(20004, [chart])
  expect(grade.levels.length).toBeGreaterThan(60)
  for (const { patch, quiet } of grade.levels) expect(Math.abs(quiet), patch).toBeLessThan(0.003)
})

test('nothing is said to lie over bars that touch each other, blurred into one another', () => {
  const shown = scene(35108, [chart])
  const [{ corners, patches }] = shown.charts as [(typeof shown.charts)[number]]
  const { spec, range } = resolveEncoding(shown.conditions.camera.encoding)
  const { map } = refineChart(shown.frame, chart, corners)
  const shot = { range, transfer: spec.transfer }
  const { areas } = sampleChart({ frames: [shown.frame], chart, corners, map, ...shot })
  const judged = foreignPatches(areas, chart, { frame: shown.frame, ...shot })
  expect(judged).toHaveLength(46)
  for (const { patch, foreign } of judged) {
    const { glare, clipped } = patches.find((one) => one.patch === patch)!
    if (!glare && !clipped) expect(foreign, patch).toBe(false)
  }
})
