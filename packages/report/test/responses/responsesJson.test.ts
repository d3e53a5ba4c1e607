import { describe, expect, it } from 'vitest'
import { responsesJson } from '../../src/index.ts'
import { inventedResponses } from '../support/inventedResponses.ts'

describe('responsesJson', () => {
  it('holds what was compared, and of failures no path', () => {
    const given = inventedResponses()
    const [failure] = given.failures
    const place = { ...failure!.place, file: 'a/path/of/a/machine.png' }
    const text = responsesJson({ ...given, failures: [{ ...failure!, place }] })
    expect(text).not.toContain('machine')
    expect(JSON.parse(text)).toEqual({ isochip: 'compare/1', ...given })
  })
})
