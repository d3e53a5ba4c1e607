import { describe, expect, it } from 'vitest'
import { cameraPairs } from '../src/index.ts'
import { fittedCamera, inventedShow } from './support/inventedShow.ts'
import { realShow } from './support/realMatch.ts'

describe('cameraPairs', () => {
  // `wide` shows the target's light, so its distance from another camera is what core states of that camera's match.
  it.each(['scene', 'display'] as const)('is what core computes, view %s', (view) => {
    const report = realShow({ view })
    const { before, after } = fittedCamera(report.setups[0]!, 'cross').match.summary
    const [pair] = cameraPairs(report.setups[0]!, report)
    expect(pair!.before).toBeCloseTo(before.mean, 9)
    expect(pair!.after).toBeCloseTo(after.mean, 9)
    expect(pair!.after).toBeGreaterThan(0.05)
  })

  it('sees another difference on a display than on the scene', () => {
    const scene = realShow({ view: 'scene' })
    const pairs = (view: 'scene' | 'display') => cameraPairs(scene.setups[0]!, { ...scene, view })
    expect(pairs('display')[0]!.before).not.toBeCloseTo(pairs('scene')[0]!.before, 2)
  })

  it('takes every pair once, over the patches that both have', () => {
    const report = inventedShow()
    const [wide, , crane] = report.setups[0]!.cameras
    const cross = fittedCamera(report.setups[0]!, 'cross')
    const patches = cross.match.patches.slice(0, 10)
    const few = { ...cross, match: { ...cross.match, patches } }
    const pairs = cameraPairs({ setup: 'day', cameras: [wide!, few, crane!] }, report)
    expect(pairs.map(({ a, b }) => [a, b])).toEqual([
      ['wide', 'cross'],
      ['wide', 'crane'],
      ['cross', 'crane'],
    ])
    const mean = patches.reduce((sum, { dE00 }) => sum + dE00.after, 0) / patches.length
    expect(pairs[0]!.after).toBeCloseTo(mean, 9)
  })
})
