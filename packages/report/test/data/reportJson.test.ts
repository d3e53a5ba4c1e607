import { jsonSchema } from '@isochip/core/shapes'
import Ajv from 'ajv/dist/2020.js'
import { describe, expect, it } from 'vitest'
import { reportJson } from '../../src/index.ts'
import { reportFile } from '../../src/shapes.ts'
import { fittedCamera, inventedShow } from '../support/inventedShow.ts'
import { realShow } from '../support/realMatch.ts'

const validate = new Ajv.default({ strict: true, allowUnionTypes: true }).compile(jsonSchema(reportFile))

describe('reportJson', () => {
  it('is valid by its own schema, which names every member of it', () => {
    const document = JSON.parse(reportJson(inventedShow()))
    validate(document)
    expect(validate.errors).toBeNull()
    const failed = [{ camera: 'pole', setup: 'day', message: 'no chart' }]
    expect(validate(JSON.parse(reportJson({ ...inventedShow(), failed })))).toBe(true)
    expect(JSON.parse(JSON.stringify(reportFile.parse(document)))).toEqual(document)
    delete document.setups[0].cameras[1].verdict
    expect(validate(document)).toBe(false)
  })

  it.each(['auto', 'root-polynomial-2', 'gain', 'lift-gain-matrix'] as const)(
    'describes a real fit: %s',
    (model) => {
      const document = JSON.parse(reportJson(realShow({ model })))
      validate(document)
      expect(validate.errors).toBeNull()
      expect(JSON.parse(JSON.stringify(reportFile.parse(document)))).toEqual(document)
    },
  )

  it('has of the reference camera its light and no figures of a fit', () => {
    const [wide] = JSON.parse(reportJson(inventedShow())).setups[0].cameras
    expect(wide).toMatchObject({ camera: 'wide', kind: 'reference', model: { kind: 'conversion' } })
    expect(wide.verdict).toEqual({ state: 'reference', exceeded: [], doubts: [] })
    for (const name of ['summary', 'diagnosis', 'onSet', 'requested']) expect(wide).not.toHaveProperty(name)
    expect(Object.keys(wide.patches[0])).toEqual(['patch', 'source'])
  })

  it('carries the numbers of the match', () => {
    const report = inventedShow()
    const { cameras, pairs } = JSON.parse(reportJson(report)).setups[1]
    const { match } = fittedCamera(report.setups[1]!, 'crane')
    expect(cameras[2].camera).toBe('crane')
    expect(cameras[2].summary.after.mean).toBeCloseTo(match.summary.after.mean, 6)
    expect(cameras[2].patches[7].dE00.before).toBeCloseTo(match.patches[7]!.dE00.before, 5)
    expect(pairs.map(({ a, b }: { a: string; b: string }) => `${a}-${b}`)).toEqual([
      'wide-cross',
      'wide-crane',
      'cross-crane',
    ])
    // The reference camera's light is the target: its pair with another is that camera's own mean ΔE00.
    expect(pairs[1].after).toBeCloseTo(match.summary.after.mean, 5)
    expect(pairs[1].before).toBeCloseTo(match.summary.before.mean, 5)
  })

  it('is the same bytes for the same input, and writes null for a figure that does not exist', () => {
    expect(reportJson(inventedShow())).toBe(reportJson(inventedShow()))
    const report = inventedShow()
    const [setup] = report.setups
    const [wide] = setup!.cameras
    const cross = fittedCamera(setup!, 'cross')
    const diagnosis = { ...cross.match.diagnosis, condition: Number.POSITIVE_INFINITY }
    const broken = { ...cross, match: { ...cross.match, diagnosis } }
    const text = reportJson({ ...report, setups: [{ setup: 'day', cameras: [wide!, broken] }] })
    const document = JSON.parse(text)
    expect(document.setups[0].cameras[1].diagnosis.condition).toBeNull()
    expect(validate(document)).toBe(true)
  })
})
