import { describe, expect, it } from 'vitest'
import { pageBudget } from '../src/pictures/pageBudget.ts'

describe('pageBudget', () => {
  it('leaves eight cameras with 48 patches pictures of full size, in a page of a megabyte and a half', () => {
    const { side, bytes } = pageBudget(8, 48)!
    expect(side).toBe(480)
    // Seen: 546 kB of text and drawings.
    expect(8 * bytes).toBeLessThan(1_500_000 - 546_000)
  })

  it('makes them smaller the more shots there are, never so small that they show nothing, and none for a long show', () => {
    const sizes = [1, 8, 12, 16, 32].map((shots) => pageBudget(shots, 24)!)
    expect([...sizes].sort((a, b) => b.bytes - a.bytes)).toEqual(sizes)
    expect([...sizes].sort((a, b) => b.side - a.side)).toEqual(sizes)
    expect(sizes.at(-1).side).toBe(320)
    expect(pageBudget(40, 48)!.bytes).toBe(24_000)
    expect(pageBudget(41, 24)).toBeUndefined()
  })
})
