import { builtinChart } from '@isochip/core'
import { expect, test } from 'vitest'
import { chartAge } from '../src/load/chartAge.ts'

const chart = { ...builtinChart('chart24'), measured: '2024-03-01', replaceBy: '2026-03-01' }

test('is silent until the date, and says so after it', () => {
  expect(chartAge(chart, '2026-03-01')).toBeUndefined()
  expect(chartAge(chart, '2026-03-02')?.message).toBe(
    'chart chart24 was to be replaced by 2026-03-01 (it was measured on 2024-03-01): measure it again before you trust its values',
  )
  expect(chartAge(builtinChart('chart24'), '2099-01-01')).toBeUndefined()
})
