import { builtinChart, matchCamera, resolveEncoding, resolvePrimaries, resolveTransfer } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { curveDoubts } from '../support/curveDoubts.ts'
import { type CurveFamily, curveFamilies, curveTask } from '../support/curveTasks.ts'
import { wholeTask } from '../support/wholeTask.ts'

// Measured sensors of Jiang and others (2013), CIE illuminants, reflectances of ISO 17321-1; the curves are those of
// published standards, and wrong ones made from them (test/support/curveTasks.ts). A longer run: test/gallery/judgeDoubt.ts.
const working = resolvePrimaries('bt709')

/** Tasks with a right encoding, and of each family of wrong ones. */
const [right, each] = wholeTask ? [120, 12] : [24, 3]

describe('a declared encoding', () => {
  it(`is not doubted where it is right: ${right} tasks`, () => {
    const { about, refused } = curveDoubts('right', right, 60_000)
    expect(about).toEqual([])
    expect(refused).toBe(0)
  })

  it(`is doubted where it is wrong and that spoils the match: ${each} tasks a family`, () => {
    const wrong = curveFamilies.filter(
      (family): family is Exclude<CurveFamily, 'right'> => family !== 'right',
    )
    const found = wrong.map((family) => curveDoubts(family, each, 60_000))
    const sum = (of: 'spoilt' | 'spoiltAndNamed' | 'silent') => found.reduce((all, one) => all + one[of], 0)
    expect(sum('spoilt')).toBeGreaterThan(4 * each)
    expect(sum('spoiltAndNamed') / sum('spoilt')).toBeGreaterThan(0.7)
    expect(sum('silent') / sum('spoilt')).toBeLessThan(0.1)
  })

  it('is doubted where black reads less than no light, with the light below none', () => {
    const { light, target } = curveTask('right', 60_003)
    // A black that is crushed: full range read as narrow (BT.709-6 item 4.6).
    const { encode } = resolveTransfer('bt1886')
    const code = (value: number) => (255 * encode(value, 0) - 16) / 219
    const patches = light.patches.map(({ patch, rgb }) => ({
      patch,
      rgb: [code(rgb[0]), code(rgb[1]), code(rgb[2])] as const,
    }))
    const chart = builtinChart('chart24')
    const match = matchCamera({
      chart,
      readings: { patches },
      encoding: resolveEncoding('bt1886'),
      target,
      working,
    })
    expect(match.encodingDoubt?.black).toBeLessThan(-0.005)
    expect(match.warnings.map(({ message }) => message).join()).toContain('less than no light')
  })

  // √(x·(x + k)) lifts dark tones and leaves nearly all others; the match takes nearly all of it for a lift.
  it('is doubted where dark tones are lifted, though the match hides it', () => {
    const { light, target } = curveTask('right', 60_004)
    const { encode } = resolveTransfer('bt709')
    const doubtOf = (curve: (x: number) => number, of = light) =>
      matchCamera({
        chart: builtinChart('chart24'),
        readings: {
          patches: of.patches.map(({ patch, rgb }) => {
            const code = (value: number) => encode(curve(value), 0)
            return { patch, rgb: [code(rgb[0]), code(rgb[1]), code(rgb[2])] as const }
          }),
        },
        encoding: resolveEncoding('bt709'),
        target,
        working,
      })
    const match = doubtOf((x) => Math.sqrt(Math.max(x, 0) * (Math.max(x, 0) + 0.06)))
    expect(match.encodingDoubt?.toe).toBe('lifted')
    expect(match.warnings.map(({ message }) => message).join()).toContain('dark tones are lifted')
    // A black that is another one than the chart's is no toe.
    const black = light.patches.reduce((least, one) => (one.rgb[1] < least.rgb[1] ? one : least))
    const other = light.patches.map((one) =>
      one === black ? { ...one, rgb: [1.3 * one.rgb[0], 1.3 * one.rgb[1], 1.3 * one.rgb[2]] as const } : one,
    )
    expect(doubtOf((x) => x, { patches: other }).encodingDoubt).toBeUndefined()
  })

  it('has alternatives: the standard that was recorded is among those named, with what it would leave', () => {
    const { light, target } = curveTask('right', 60_003)
    const { encode } = resolveTransfer('bt1886')
    const code = (value: number) => encode(value, 0)
    const patches = light.patches.map(({ patch, rgb }) => ({
      patch,
      rgb: [code(rgb[0]), code(rgb[1]), code(rgb[2])] as const,
    }))
    const match = matchCamera({
      chart: builtinChart('chart24'),
      readings: { patches },
      encoding: resolveEncoding('hlg'),
      target,
      working,
    })
    const doubt = match.encodingDoubt!
    expect(doubt.alternatives.map(({ encoding }) => JSON.stringify(encoding.transfer))).toEqual(
      expect.arrayContaining(['"bt1886"']),
    )
    expect(doubt.alternatives[0]!.mean).toBeLessThan(doubt.declared.mean)
    for (const { leaveOneOut } of doubt.remedies) expect(leaveOneOut).toBeLessThan(doubt.declared.leaveOneOut)
    const [caution] = match.warnings.filter(({ code }) => code === 'encoding-doubtful')
    expect(caution?.message).toContain('curve: corrected')
  })
})
