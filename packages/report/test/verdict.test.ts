import { describe, expect, it } from 'vitest'
import { showVerdict, verdict } from '../src/index.ts'
import { inventedShow } from './support/inventedShow.ts'

describe('verdict', () => {
  const report = inventedShow()
  const [wide, cross, crane] = report.setups[0]!.cameras

  it('says target, within and outside, and what limits', () => {
    expect(verdict(wide!, report.tolerance)).toEqual({ state: 'target', exceeded: [] })
    expect(verdict(cross!, report.tolerance)).toEqual({ state: 'within', exceeded: [], limit: 'spectral' })
    expect(verdict(crane!, report.tolerance).state).toBe('outside')
  })

  it('names the limits that are exceeded; equal to a limit is within', () => {
    const { mean, max } = cross!.match.summary.after
    expect(verdict(cross!, { mean, max }).exceeded).toEqual([])
    expect(verdict(cross!, { mean: mean - 1e-9, max }).exceeded).toEqual(['mean'])
    expect(verdict(cross!, { mean, max: max - 1e-9 }).exceeded).toEqual(['max'])
  })

  it('never calls a figure that is not a number within tolerance', () => {
    const { match } = cross!
    const summary = { ...match.summary, after: { ...match.summary.after, mean: Number.NaN } }
    expect(verdict({ ...cross!, match: { ...match, summary } }, report.tolerance).state).toBe('outside')
  })

  it('judges the show over all setups, without the target', () => {
    const whole = showVerdict(report)
    expect(whole.judged).toBe(4)
    expect(whole.within).toBe(false)
    expect(whole.outside.map(({ camera, setup }) => `${setup}/${camera}`)).toEqual([
      'day/crane',
      'evening/crane',
    ])
  })
})
