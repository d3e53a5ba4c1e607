import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import type { Mat3 } from '@isochip/core'
import { type Comparison, compareShow } from '@isochip/show/node'
import { beforeAll, describe, expect, test } from 'vitest'

/*
 * What `compare` says of four measured sensors (J. Jiang and others, WACV 2013) and the CIE 1931 observer, against numpy
 * and scipy on the same numbers: data/sensor-comparison/solve.py.
 */

interface Oracle {
  readonly maps: Record<string, { readonly matrix: Mat3; readonly condition: number }>
  readonly angles: Record<string, readonly number[]>
  readonly metamerism: Record<string, { readonly meanDE76: number; readonly index: number }>
}

const oracle = JSON.parse(
  readFileSync(new URL('data/sensor-comparison/oracle.json', import.meta.url), 'utf8'),
) as Oracle
let setup: Comparison['setups'][number]

beforeAll(async () => {
  const show = fileURLToPath(new URL('../../examples/researcher/sensors/show.yaml', import.meta.url))
  setup = (await compareShow(show, { workers: 0 })).setups[0]!
})

describe('sensors against each other and the observer', () => {
  test('matrices and their condition are those of numpy, each way', () => {
    const maps = [
      ...setup.maps,
      ...setup.observer.flatMap(({ toObserver, fromObserver }) => [toObserver, fromObserver]),
    ]
    expect(maps.map(({ from, to }) => `${from} ${to}`).sort()).toEqual(Object.keys(oracle.maps).sort())
    for (const { from, to, matrix, condition } of maps) {
      const wanted = oracle.maps[`${from} ${to}`]!
      matrix.forEach((row, r) => {
        row.forEach((value, c) => {
          // Two stable methods, condition about 10.
          expect(Math.abs(value - wanted.matrix[r as 0][c as 0]), `${from} ${to}`).toBeLessThan(1e-10)
        })
      })
      expect(Math.abs(condition / wanted.condition - 1)).toBeLessThan(1e-10)
    }
  })

  test('principal angles are those of scipy', () => {
    const all = [
      ...setup.pairs.map(({ a, b, principalAngles }) => ({ names: `${a} ${b}`, principalAngles })),
      ...setup.observer.map(({ camera, principalAngles }) => ({
        names: `${camera} observer`,
        principalAngles,
      })),
    ]
    expect(all).toHaveLength(6 + 4)
    for (const { names, principalAngles } of all) {
      expect(principalAngles).toHaveLength(3)
      principalAngles.forEach((angle, i) => {
        expect(Math.abs(angle - oracle.angles[names]![i]!), names).toBeLessThan(1e-9)
      })
    }
  })

  test('the metamerism index is that of a minimiser of another kind', () => {
    expect(Object.keys(setup.metamerism)).toEqual(Object.keys(oracle.metamerism))
    for (const [sensor, { meanDE76, index, patches }] of Object.entries(setup.metamerism)) {
      const wanted = oracle.metamerism[sensor]!
      expect(patches).toBe(18)
      // The simplex stops a little above the least mean, and so must not lie below ours.
      expect(meanDE76).toBeLessThan(wanted.meanDE76 + 1e-6)
      expect(meanDE76).toBeGreaterThan(wanted.meanDE76 - 1e-3)
      expect(Math.abs(index - wanted.index)).toBeLessThan(0.01)
    }
  })

  test('every matrix lies within its interval', () => {
    for (const { matrix, interval } of setup.maps) {
      matrix.forEach((row, r) => {
        row.forEach((value, c) => {
          const [low, high] = interval[r]![c]!
          expect(low).toBeLessThan(value)
          expect(high).toBeGreaterThan(value)
        })
      })
    }
  })
})
