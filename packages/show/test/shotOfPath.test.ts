import { expect, test } from 'vitest'
import { shotOfPath } from '../src/init/shotOfPath.ts'

test.each([
  ['wide/day-1.png', 'wide', 'day'],
  ['wide/day.tif', 'wide', 'day'],
  ['wide/day/0001.png', 'wide', 'day'],
  ['wide/day/take 2/0001.png', 'wide', 'day'],
  ['wide/0001.png', 'wide', '0001'],
  ['wide-day-1.png', 'wide', 'day'],
  ['wide_late evening_02.dpx', 'wide', 'late-evening'],
  ['wide.png', 'wide', 'default'],
  ['wide-3.png', 'wide', 'default'],
  ['007.exr', '007', 'default'],
])('%s: camera %s, setup %s', (path, camera, setup) => {
  expect(shotOfPath(path)).toEqual({ camera, setup })
})
