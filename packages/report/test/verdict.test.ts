import type { Warning } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { type CameraReport, markdown, reportHtml, residualTable, showVerdict, verdict } from '../src/index.ts'
import { fittedCamera, inventedShow } from './support/inventedShow.ts'

describe('verdict', () => {
  const report = inventedShow()
  const [day] = report.setups
  const [wide] = day!.cameras
  const cross = fittedCamera(day!, 'cross')
  const crane = fittedCamera(day!, 'crane')

  it('says reference camera, within and out, and what limits', () => {
    expect(verdict(wide!, report.tolerance)).toEqual({ state: 'reference', exceeded: [], doubts: [] })
    expect(verdict(cross, report.tolerance)).toEqual({
      state: 'within',
      exceeded: [],
      doubts: [],
      limit: 'spectral',
    })
    expect(verdict(crane, report.tolerance).state).toBe('out')
  })

  it('names the limits that are exceeded; equal to a limit is within', () => {
    const { mean, max } = cross.match.summary.after
    expect(verdict(cross, { mean, max }).exceeded).toEqual([])
    expect(verdict(cross, { mean: mean - 1e-9, max }).exceeded).toEqual(['mean'])
    expect(verdict(cross, { mean, max: max - 1e-9 }).exceeded).toEqual(['max'])
  })

  it('never calls a figure that is not a number within tolerance', () => {
    const { match } = cross
    const summary = { ...match.summary, after: { ...match.summary.after, mean: Number.NaN } }
    expect(verdict({ ...cross, match: { ...match, summary } }, report.tolerance).state).toBe('out')
  })

  it('calls what is within by its figures doubtful where a caution says so, and gives the reason', () => {
    const reason: Warning = {
      code: 'encoding-doubtful',
      message: 'the curve does not explain the grey scale',
    }
    const doubted = <T extends CameraReport>(camera: T): T => ({
      ...camera,
      match: { ...camera.match, warnings: [...camera.match.warnings, reason] },
    })
    expect(verdict(doubted(cross), report.tolerance)).toMatchObject({ state: 'doubtful', doubts: [reason] })
    // By its figures it is out, whatever else is in doubt.
    expect(verdict(doubted(crane), report.tolerance)).toMatchObject({ state: 'out', doubts: [reason] })
    expect(verdict(doubted(wide!), report.tolerance)).toMatchObject({ state: 'reference', doubts: [] })

    const setups = [{ setup: 'day', cameras: [wide!, doubted(cross)] }]
    const whole = showVerdict({ ...report, setups })
    expect(whole).toMatchObject({ within: true, judged: 1 })
    expect(whole.doubtful.map(({ camera }) => camera)).toEqual(['cross'])
    const text = residualTable({ ...report, setups })
    expect(text).toContain('cross  doubtful')
    expect(text).toContain(`doubt: ${reason.message}`)
    expect(text).not.toContain(`caution: ${reason.message}`)
    expect(text).toContain('The match is within tolerance by its figures, but doubtful.')
    expect(markdown({ ...report, setups })).toContain(`  - doubt: ${reason.message}`)
    const page = reportHtml({ ...report, setups })
    expect(page).toContain('<span class="state doubtful">')
    // In the camera's line, and with its pictures.
    expect(page.split(reason.message).length - 1).toBe(2)
  })

  it('calls a borrowed match doubtful: nobody has measured it where it is used', () => {
    const reason: Warning = { code: 'borrowed-match', message: 'this is the match of setup "day"', place: {} }
    const match = { ...cross.match, warnings: [reason] }
    const { state, doubts } = verdict({ ...cross, match, borrowed: 'day' }, report.tolerance)
    expect(state).toBe('doubtful')
    expect(doubts).toEqual([{ code: reason.code, message: reason.message }])
  })

  it('judges the show over all setups, without the reference camera', () => {
    const whole = showVerdict(report)
    expect(whole.judged).toBe(4)
    expect(whole.within).toBe(false)
    expect(whole.out.map(({ camera, setup }) => `${setup}/${camera}`)).toEqual(['day/crane', 'evening/crane'])
  })
})
