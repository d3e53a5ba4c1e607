import { describe, expect, it } from 'vitest'
import { residualsCsv } from '../../src/index.ts'
import { inventedShow } from '../support/inventedShow.ts'

describe('residualsCsv', () => {
  it('begins as the contract says and has one row a patch, camera and setup', () => {
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
    const patch = report.setups[1]!.cameras[2]!.match.patches.find((p) => p.patch === 'skin 2')!
    expect(at('dE00_after')).toBeCloseTo(patch.dE00.after, 5)
    expect(at('dEITP_balanced')).toBeCloseTo(patch.dEItp.balanced, 5)
    expect(at('matched_b')).toBeCloseTo(patch.matched[2], 6)
    expect(at('weight')).toBe(1)
  })

  it('quotes by RFC 4180', () => {
    const csv = residualsCsv(inventedShow({ cross: 'left, "far"' }))
    expect(csv).toContain('\r\nday,"left, ""far""",red,')
  })
})
