import { builtinCharts, IsochipError } from '@isochip/core'
import { findChart } from '@isochip/frames'
import { chartFreeScene } from '@isochip/synthetic'
import { expect, test } from 'vitest'
import { gradeScene } from '../gallery/gradeScene.ts'
import { wholeTask } from '../support/wholeTask.ts'

/*
 * A part of what test/gallery/findScenes.ts runs whole: cluttered scenes, shot badly, of which the truth is known.
 */
const scenes = Array.from({ length: wholeTask ? 40 : 12 }, (_, i) => i + 1)
const graded = scenes.map((number) => ({ number, grade: gradeScene(number).grade }))
const found = graded.filter(({ grade }) => grade.outcome === 'found')

test('every chart is found, and no answer is wrong', () => {
  for (const { number, grade } of graded)
    expect(['found', 'mirror refused'], `scene ${number}: ${grade.outcome}, ${grade.message}`).toContain(
      grade.outcome,
    )
  expect(found.length).toBeGreaterThan(9)
})

test('charts seen in a mirror are refused as such', () => {
  const mirrored = graded.filter(({ grade }) => grade.mirrored)
  expect(mirrored.length).toBeGreaterThan(0)
  for (const { grade } of mirrored) expect(grade.outcome).toBe('mirror refused')
})

test('corners are within 0.15 of a patch, where a patch’s sampled part still keeps clear of its edges', () => {
  for (const { number, grade } of found) expect(grade.cornerError, `scene ${number}`).toBeLessThan(0.15)
})

test('levels are the rendered ones to 0.3 % of full scale: without noise, and beyond what noise does', () => {
  const levels = found.flatMap(({ number, grade }) => grade.levels.map((level) => ({ ...level, number })))
  expect(levels.length).toBeGreaterThan(800)
  for (const { number, patch, quiet } of levels)
    expect(Math.abs(quiet), `scene ${number}, ${patch}`).toBeLessThan(0.003)
  // Noise goes beyond four standard errors 6 times in 100 000, more often where few pixels tell how large they are.
  const beyond = levels.filter(({ error, noise }) => Math.abs(error) - noise > 0.003)
  expect(beyond.length, JSON.stringify(beyond)).toBeLessThanOrEqual(0.001 * levels.length)
})

test('nothing is found where there is no chart', () => {
  for (let number = 1; number <= (wholeTask ? 15 : 2); number++) {
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
