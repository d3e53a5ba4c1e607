import { expect, test } from 'vitest'
import { Budget } from '../src/find/budget.ts'
import { constants } from '../src/find/constants.ts'

test('whatever is spent is taken from the whole, and ends everything when that is spent', () => {
  const budget = new Budget(100)
  budget.left -= 30
  budget.growing -= 10
  budget.regions -= 20
  budget.picture(15)
  expect(budget.whole).toBeCloseTo(25, 9)
  expect([budget.gridsEnded, budget.regionsEnded]).toEqual([false, false])
  budget.picture(25)
  expect([budget.gridsEnded, budget.regionsEnded]).toEqual([true, true])
})

test('a kind of chart that has spent its own leaves the rest to the others', () => {
  const budget = new Budget()
  budget.left -= constants.budget.total
  expect([budget.gridsEnded, budget.regionsEnded]).toEqual([true, false])
})
