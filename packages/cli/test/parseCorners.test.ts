import { expect, test } from 'vitest'
import { parseCorners } from '../src/options/parseCorners.ts'

const corners = [
  [402, 211],
  [1490.5, 236],
  [1478, 960],
  [396, 930],
]

test.each([
  '402,211 1490.5,236 1478,960 396,930',
  '402 211 1490.5 236 1478 960 396 930',
  '402,211;1490.5,236;1478,960;396,930',
])('%s', (text) => {
  expect(parseCorners(text)).toEqual(corners)
})

test.each(['', '1,2,3,4', '1,2,3,4,5,6,7,x', '1,2,3,4,5,6,7,8,9', '1,2,3,4,5,6,7,Infinity'])(
  'refuses "%s"',
  (text) => {
    expect(() => parseCorners(text)).toThrow('Expected eight numbers')
  },
)
