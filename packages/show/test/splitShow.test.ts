import { expect, test } from 'vitest'
import { parseShow } from '../src/showFile/parseShow.ts'
import { splitShow } from '../src/showFile/splitShow.ts'

const text = `isochip: 1
title: Four setups
chart: chart24
target: { camera: wide }
cameras:
  - id: wide
    encoding: bt709
    shots:
      - { setup: day, frames: wide/day.png }
      - { setup: dusk, borrow: day }
      - { setup: night, frames: wide/night.png }
  - id: cross
    encoding: srgb
    shots:
      - { setup: night, frames: cross/night.png }
      - { setup: day, frames: cross/day.png }
`

test('a part is a setup, and a lender goes with its borrower', async () => {
  const show = await parseShow(text)
  const parts = splitShow(show)
  expect(parts.map(({ setups }) => setups)).toEqual([['day', 'dusk'], ['night']])
  expect(parts[1]!.show.cameras.map(({ id, shots }) => [id, shots.map(({ setup }) => setup)])).toEqual([
    ['wide', ['night']],
    ['cross', ['night']],
  ])
  // Line 11 of the text: where the shot stands, though it is the first of its camera now.
  expect(parts[1]!.show.places?.['cameras[0].shots[0]']?.line).toBe(11)
  expect(parts[1]!.show.places?.['cameras[1].shots[0]']?.line).toBe(15)
})

test('all shots are in one part each', async () => {
  const show = await parseShow(text)
  const all = splitShow(show).flatMap(({ show: part }) =>
    part.cameras.flatMap(({ id, shots }) => shots.map(({ setup }) => `${id} ${setup}`)),
  )
  expect(all.sort()).toEqual(['cross day', 'cross night', 'wide day', 'wide dusk', 'wide night'])
})
