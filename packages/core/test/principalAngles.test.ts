import { principalAngles } from '@isochip/core'
import { expect, test } from 'vitest'

test('the angles that scipy gives', () => {
  const a = [
    [1, 2],
    [0, 1],
    [3, -1],
    [2, 2],
    [1, 0],
  ]
  const b = [
    [1, 2.1],
    [0.1, 1],
    [3, -1],
    [2, 1.5],
    [0, 0.3],
  ]
  const angles = principalAngles(a, b)
  // scipy 1.17.1, linalg.subspace_angles, in degrees.
  const oracle = [6.600958306391935, 18.530659940959836]
  angles.forEach((angle, i) => {
    expect(angle).toBeCloseTo(oracle[i]!, 9)
  })
})

test('spaces that a matrix takes to each other have none, and a turned plane the angle of its turn', () => {
  const a = [
    [1, 2],
    [0, 1],
    [3, -1],
    [2, 2],
  ]
  const mixed = a.map(([x, y]) => [2 * x! + y!, x! - 3 * y!])
  for (const angle of principalAngles(a, mixed)) expect(angle).toBeLessThan(1e-12)
  for (const turn of [1e-6, 1, 30, 89]) {
    const [c, s] = [Math.cos((turn * Math.PI) / 180), Math.sin((turn * Math.PI) / 180)]
    const angles = principalAngles(
      [
        [1, 0],
        [0, 1],
        [0, 0],
      ],
      [
        [1, 0],
        [0, c],
        [0, s],
      ],
    )
    expect(angles[0]).toBeLessThan(1e-12)
    expect(angles[1]! / turn).toBeCloseTo(1, 9)
  }
})
