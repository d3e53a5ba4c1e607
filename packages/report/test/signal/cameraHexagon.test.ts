import { bars75, identity3, inverse3, type Mat3, ycbcrOfCode } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { cameraHexagon } from '../../src/signal/cameraHexagon.ts'
import { inventedMatch } from '../support/inventedShow.ts'

const base = inventedMatch({ camera: 'a', setup: 'b' })
const bars = bars75.map(({ code }) => ycbcrOfCode(code))
const size = ({ cb, cr }: { cb: number; cr: number }) => Math.hypot(cb, cr)

describe('cameraHexagon', () => {
  it('is the target’s own where the matrix only converts between the primaries as declared', () => {
    const declared: Mat3 = [
      [0.9, 0.1, 0],
      [0.05, 0.9, 0.05],
      [0, 0.2, 0.8],
    ]
    const corners = cameraHexagon({ ...base, declared, model: { ...base.model, matrix: declared } }, 'bt709')!
    for (const [i, corner] of corners.entries()) {
      expect(corner.cb).toBeCloseTo(bars[i]!.cb, 9)
      expect(corner.cr).toBeCloseTo(bars[i]!.cr, 9)
    }
  })

  it('is smaller all round for a camera whose channels are mixed up, which the matrix takes apart', () => {
    const mixed: Mat3 = [
      [0.9, 0.05, 0.05],
      [0.05, 0.9, 0.05],
      [0.05, 0.05, 0.9],
    ]
    const model = { ...base.model, matrix: inverse3(mixed) }
    const corners = cameraHexagon({ ...base, declared: identity3, model }, 'bt709')!
    for (const [i, corner] of corners.entries()) expect(size(corner)).toBeLessThan(size(bars[i]!) * 0.85)
  })

  it('is left out where the match is not a matrix that can be turned round', () => {
    const rootPolynomial = [[0], [0], [0]] as const
    expect(cameraHexagon({ ...base, model: { ...base.model, rootPolynomial } }, 'bt709')).toBeUndefined()
    const flat: Mat3 = [
      [1, 0, 0],
      [1, 0, 0],
      [1, 0, 0],
    ]
    expect(cameraHexagon({ ...base, model: { ...base.model, matrix: flat } }, 'bt709')).toBeUndefined()
  })
})
