import { builtInMatrices } from '@isochip/core'
import { describe, expect, test } from 'vitest'
import { builtInTerms } from '../src/studio/builtInTerms.ts'

describe("the terms of makers' matrices", () => {
  test('are those that core has as numbers, to the five decimals that it has', () => {
    const { mean, covariance } = builtInTerms()
    const rounded = (value: number) => Number(value.toFixed(5))
    expect(builtInMatrices.mean).toEqual(mean.map(rounded))
    expect(builtInMatrices.covariance).toEqual(covariance.map((row) => row.map(rounded)))
  })
})
