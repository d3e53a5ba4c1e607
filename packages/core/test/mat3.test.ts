import { expect, it } from 'vitest'
import { map3 } from '../src/linear/mat3.ts'

it('each of three numbers is given with its place', () => {
  expect(map3([7, 5, 3], (value, index) => 10 * index + value)).toEqual([7, 15, 23])
})
