import { builtinChart } from '@isochip/core'
import { parseReadings, readingsToCsv } from '@isochip/frames'
import { expect, test } from 'vitest'
import { roundedReadings } from '../src/text/roundedReadings.ts'

test('seven digits, whatever the size of the number', () => {
  const reading = {
    patch: 'blue',
    rgb: [1 / 3, -2e-7 / 3, 1234.56789012] as const,
    sd: [0.1 / 3, 0, 1] as const,
    pixels: 12345678901,
    clipped: 2 / 3,
  }
  expect(roundedReadings({ patches: [reading] })).toEqual({
    patches: [
      {
        patch: 'blue',
        rgb: [0.3333333, -6.666667e-8, 1234.568],
        sd: [0.03333333, 0, 1],
        pixels: 12345678901,
        clipped: 0.6666667,
      },
    ],
  })
})

test('what is not there stays away, and the table is read back', () => {
  const chart = builtinChart('chart24')
  const patches = chart.patches.map(({ name }, i) => ({ patch: name, rgb: [i / 23, 0.25, 1] as const }))
  const rounded = roundedReadings({ patches })
  const text = readingsToCsv(rounded)
  expect(text).toContain('\nlight skin,0.04347826,0.25,1\n')
  expect(parseReadings(text, 'x.csv', chart)).toEqual(rounded)
})
