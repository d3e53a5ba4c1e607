import { expect, it } from 'vitest'
import { countScopes, third } from '../../src/scopes/countScopes.ts'
import { scopeLayout } from '../../src/scopes/scopeLayout.ts'
import { scopeStandard } from '../../src/scopes/standard.ts'
import { lumaTrace, paradeTraces, type Trace, vectorTrace } from '../../src/scopes/trace.ts'

const { width, parade, luma, vector } = scopeLayout

/** What of the common canvas a scope takes. */
function cut(hits: Uint32Array, left: number, top: number, like: Trace): number[] {
  return Array.from(
    like.hits,
    (_, at) => hits[(top + Math.floor(at / like.width)) * width + left + (at % like.width)]!,
  )
}

it.each(['bt709', 'bt2020'] as const)(
  'counts in one pass what the traces of %s count one by one',
  (primaries) => {
    const standard = scopeStandard({ transfer: 'bt709', primaries, range: 'full' })
    const [columns, rows] = [97, 61]
    // Levels that lie on no border between two rows or columns of a scope, beyond the range too.
    let seed = 7
    const random = () => {
      seed = (seed * 48271) % 2147483647
      return seed / 2147483647
    }
    const data = Float64Array.from({ length: 3 * columns * rows }, () => 1.6 * random() - 0.3)
    const pixels = { width: columns, height: rows, data, unit: 1 }
    const hits = countScopes(pixels, standard)
    const traces = paradeTraces(pixels, third, parade.height)
    for (const [i, trace] of traces.entries())
      expect(cut(hits, parade.left + i * (third + parade.gap), parade.top, trace)).toEqual([...trace.hits])
    const waveform = lumaTrace(pixels, standard, luma.width, luma.height)
    expect(cut(hits, luma.left, luma.top, waveform)).toEqual([...waveform.hits])
    const scope = vectorTrace(pixels, standard, vector.side)
    expect(cut(hits, vector.left, vector.top, scope)).toEqual([...scope.hits])
    expect(hits.reduce((sum, count) => sum + count, 0)).toBe(5 * columns * rows)
  },
)
