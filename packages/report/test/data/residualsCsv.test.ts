import { describe, expect, it } from 'vitest'
import { residualsCsv } from '../../src/index.ts'
import { fittedCamera, inventedShow } from '../support/inventedShow.ts'

describe('residualsCsv', () => {
  it('begins as the contract says and has one row per patch, camera and setup', () => {
    const rows = residualsCsv(inventedShow()).trimEnd().split('\r\n')
    expect(rows[0]!.startsWith('setup,camera,patch,dE00_before,dE00_after,')).toBe(true)
    expect(rows).toHaveLength(1 + 2 * 3 * 48)
    const columns = rows.map((row) => row.split(',').length)
    expect(new Set(columns)).toEqual(new Set([rows[0]!.split(',').length]))
  })

  it('states the numbers of the match under their headers', () => {
    const report = inventedShow()
    const [header, ...rows] = residualsCsv(report).split('\r\n')
    const row = rows.find((line) => line.startsWith('evening,crane,skin 2,'))!.split(',')
    const at = (name: string) => Number(row[header!.split(',').indexOf(name)])
    const patch = fittedCamera(report.setups[1]!, 'crane').match.patches.find((p) => p.patch === 'skin 2')!
    expect(at('dE00_after')).toBeCloseTo(patch.dE00.after, 5)
    expect(at('dEITP_balanced')).toBeCloseTo(patch.dEITP.balanced, 5)
    expect(at('matched_b')).toBeCloseTo(patch.matched[2], 6)
    expect(at('weight')).toBe(1)
  })

  it('has of the reference camera its light, and no residuals', () => {
    const [header, row] = residualsCsv(inventedShow())
      .split('\r\n')
      .map((line) => line.split(','))
    const at = (name: string) => row![header!.indexOf(name)]
    expect(at('camera')).toBe('wide')
    for (const name of ['dE00_before', 'dE00_after', 'dEITP_balanced', 'weight']) expect(at(name)).toBe('')
    expect(at('matched_g')).toBe(at('source_g'))
    expect(at('target_g')).toBe(at('source_g'))
    expect(Number(at('source_g'))).toBeGreaterThan(0)
  })

  it('quotes by RFC 4180', () => {
    const csv = residualsCsv(inventedShow({ cross: 'left, "far"' }))
    expect(csv).toContain('\r\nday,"left, ""far""",red,')
  })
})
