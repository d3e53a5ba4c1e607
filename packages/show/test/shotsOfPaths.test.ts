import { expect, test } from 'vitest'
import { shotsOfPaths } from '../src/init/shotsOfPaths.ts'

const shots = (...paths: string[]) => shotsOfPaths(paths).map(({ camera, setup }) => `${setup}/${camera}`)

// Common practice, no source: a card is named by the camera's letter and the card's number.
test('cards of one day are cameras of one setup', () => {
  expect(shots('A001/clip1.mov', 'B001/clip1.mov', 'C003/clip7.mov')).toEqual([
    'default/A',
    'default/B',
    'default/C',
  ])
  expect(shots('friday/A001_1128/x.mov', 'friday/B001_1128/sub/x.mov')).toEqual(['friday/A', 'friday/B'])
})

test('several cards of a camera are several setups', () => {
  expect(shots('A001/x.mov', 'B001/x.mov', 'A002/x.mov', 'B002/x.mov')).toEqual([
    '001/A',
    '001/B',
    '002/A',
    '002/B',
  ])
  expect(shots('mon/A001/x.mov', 'mon/B001/x.mov', 'tue/A002/x.mov', 'tue/B002/x.mov')).toEqual([
    'mon/A',
    'mon/B',
    'tue/A',
    'tue/B',
  ])
})

test('other folders, and cards of one camera alone, are as their names say', () => {
  expect(shots('wide/day-1.png', 'cross/day-1.png')).toEqual(['day/wide', 'day/cross'])
  expect(shots('wide/A001/x.mov', 'wide/A002/x.mov')).toEqual(['A001/wide', 'A002/wide'])
  expect(shots('a001/x.mov', 'STUDIO/x.mov')).toEqual(['x/a001', 'x/STUDIO'])
})
