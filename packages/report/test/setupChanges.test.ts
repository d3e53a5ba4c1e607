import { jsonSchema } from '@isochip/core/shapes'
import Ajv from 'ajv/dist/2020.js'
import { describe, expect, it } from 'vitest'
import { reportHtml, reportJson, residualTable, type ShowReport, setupChanges } from '../src/index.ts'
import { reportFile } from '../src/shapes.ts'
import { fittedCamera, inventedCamera, inventedReference, inventedShow } from './support/inventedShow.ts'

/**
 * Three setups of one camera beside the target. In the second it has a quarter of the light (two stops, as an ND 0.6
 * filter takes: 10^0.6 = 3.98, common knowledge), in the third a black that is lifted by 1 % of white.
 */
function show(): ShowReport {
  const base = { camera: 'cross', gain: [0.9, 0.8, 0.7] as const, left: 0.01 }
  const setups = [
    { ...base, setup: 'day' },
    { ...base, setup: 'terrace', gain: [0.225, 0.2, 0.175] as const },
    { ...base, setup: 'evening', black: [0.01, 0.01, 0.01] as const },
  ]
  return {
    ...inventedShow(),
    setups: setups.map((one) => ({
      setup: one.setup,
      cameras: [inventedReference({ camera: 'wide', setup: one.setup }), inventedCamera(one)],
    })),
  }
}

describe('setupChanges', () => {
  it('tells a filter from a lifted black, and both from what stays', () => {
    const [filter, lifted, ...more] = setupChanges(show())
    expect(more).toEqual([])
    expect([filter!.camera, filter!.from, filter!.to]).toEqual(['cross', 'day', 'terrace'])
    expect(filter!.exposure).toBeCloseTo(-2, 9)
    expect(filter!.whiteBalance.redOverGreen).toBeCloseTo(1, 9)
    expect(filter!.notable).toEqual(['exposure'])
    expect(lifted!.to).toBe('evening')
    expect(lifted!.exposure).toBeCloseTo(0, 9)
    for (const level of lifted!.black) expect(level).toBeCloseTo(1, 9)
    expect(lifted!.notable).toEqual(['black'])
  })

  it('knows the direction of a white balance and of a matrix', () => {
    const report = show()
    const [day, terrace] = report.setups
    const [wide] = terrace!.cameras
    const cross = fittedCamera(terrace!, 'cross')
    const { onSet } = fittedCamera(day!, 'cross').match
    // What the camera now asks for: a tenth less red, and a term more. So it is a tenth redder than it was.
    const asked = {
      ...onSet,
      whiteBalance: { ...onSet.whiteBalance, redOverGreen: onSet.whiteBalance.redOverGreen / 1.1 },
      matrix: { ...onSet.matrix, gb: onSet.matrix.gb + 0.08 },
    }
    const turned = { ...cross, match: { ...cross.match, onSet: asked } }
    const [change] = setupChanges({ ...report, setups: [day!, { ...terrace!, cameras: [wide!, turned] }] })
    expect(change!.whiteBalance.redOverGreen).toBeCloseTo(1.1, 9)
    expect(change!.matrix.gb).toBeCloseTo(0.08, 9)
    expect(change!.notable).toEqual(['white balance', 'matrix'])
  })

  it('leaves out what was not measured there, or with another curve', () => {
    const report = show()
    const [day, terrace, evening] = report.setups
    const borrowed = { ...terrace!.cameras[1]!, borrowed: 'day' }
    const other = {
      ...evening!.cameras[1]!,
      sourceEncoding: { transfer: 'srgb', primaries: 'bt709', range: 'full' } as const,
    }
    const setups = [day!, { ...terrace!, cameras: [borrowed] }, { ...evening!, cameras: [other] }]
    expect(setupChanges({ ...report, setups })).toEqual([])
  })

  it('stands in the data, the page and the table of the terminal', () => {
    const report = show()
    const document = JSON.parse(reportJson(report))
    expect(
      document.changes.map(({ to, notable }: { to: string; notable: string[] }) => [to, notable]),
    ).toEqual([
      ['terrace', ['exposure']],
      ['evening', ['black']],
    ])
    const validate = new Ajv.default({ strict: true, allowUnionTypes: true }).compile(jsonSchema(reportFile))
    validate(document)
    expect(validate.errors).toBeNull()
    const page = reportHtml(report)
    expect(page).toContain('From setup to setup')
    expect(page).toContain('<td><b class=outside>−2.00 !</b>')
    const table = residualTable(report)
    expect(table).toMatch(/ {2}cross, day → terrace +−2\.00 ! /)
    expect(table).toMatch(/ {2}cross, day → evening .* \+1\.0 ! /)
    for (const line of table.split('\n')) expect(line.length).toBeLessThanOrEqual(80)

    const still = residualTable({ ...report, setups: [report.setups[0]!, report.setups[0]!] })
    expect(still).toContain('From setup to setup no camera has changed')
    expect(residualTable({ ...report, setups: report.setups.slice(0, 1) })).not.toContain(
      'rom setup to setup',
    )
  })
})
