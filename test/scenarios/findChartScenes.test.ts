import { builtinCharts, IsochipError } from '@isochip/core'
import { findChart } from '@isochip/frames'
import { chartFreeScene, scene } from '@isochip/synthetic'
import { expect, test } from 'vitest'
import { gradeScene } from '../gallery/gradeScene.ts'

/*
 * A part of what test/gallery/findScenes.ts runs whole: cluttered scenes, shot badly, of which the truth is known.
 */
const scenes = Array.from({ length: 30 }, (_, i) => i + 1)
const graded = scenes.map((number) => ({ number, grade: gradeScene(scene(number)) }))
const found = graded.filter(({ grade }) => grade.outcome === 'found')

test('no answer is wrong, and every chart that can be read is found', () => {
  for (const { number, grade } of graded) {
    expect(grade.outcome, `scene ${number}: ${grade.message}`).not.toBe('wrong')
    if (grade.readable) expect(grade.outcome, `scene ${number}: ${grade.message}`).not.toBe('not sure')
  }
  // Scenes that nobody could read would pass the above.
  expect(found.length).toBeGreaterThan(20)
})

test('charts seen in a mirror are refused as such', () => {
  const mirrored = graded.filter(({ grade }) => grade.mirrored)
  expect(mirrored.length).toBeGreaterThan(0)
  for (const { grade } of mirrored) expect(grade.outcome).toBe('mirror refused')
})

test('corners are within 0.15 of a patch, where a patch’s sampled part still keeps clear of its edges', () => {
  for (const { number, grade } of found) expect(grade.cornerError, `scene ${number}`).toBeLessThan(0.15)
})

test('patch means are the rendered levels to 0.3 % of full scale beyond what noise does', () => {
  const levels = found.flatMap(({ number, grade }) => grade.levels.map((level) => ({ ...level, number })))
  expect(levels.length).toBeGreaterThan(2000)
  for (const { number, patch, error, noise } of levels)
    expect(Math.abs(error) - noise, `scene ${number}, ${patch}`).toBeLessThan(0.003)
})

test('nothing is found where there is no chart', { timeout: 180_000 }, () => {
  for (let number = 1; number <= 10; number++) {
    const { frame } = chartFreeScene(number)
    let fault: unknown
    try {
      findChart(frame, builtinCharts)
    } catch (error) {
      fault = error
    }
    expect(fault, `chart-free scene ${number}`).toBeInstanceOf(IsochipError)
    expect(fault).toMatchObject({ code: 'chart-not-found', hint: expect.stringMatching(/corners/) })
  }
})
