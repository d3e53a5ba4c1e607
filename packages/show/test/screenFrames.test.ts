import {
  apply3,
  applyModel,
  decodeRgb,
  encodeRgb,
  type MatchModel,
  nominalFromFraction,
  primariesConversion,
  resolveEncoding,
  resolvePrimaries,
  type Vec3,
} from '@isochip/core'
import { createFrame, type Frame } from '@isochip/frames'
import { describe, expect, it } from 'vitest'
import { screenFrames } from '../src/pictures/screenFrames.ts'

const model: MatchModel = {
  kind: 'lift-gain-matrix',
  lift: [-0.01, 0.002, 0],
  gain: [1.2, 0.9, 1.4],
  matrix: [
    [1.1, -0.06, -0.04],
    [0.02, 0.95, 0.03],
    [-0.1, -0.2, 1.3],
  ],
}
const plain: MatchModel = { ...model, kind: 'gain', lift: [0, 0, 0], gain: [1, 1, 1] }
const working = resolvePrimaries('bt2020')

/** Codes all over the range, and beyond it at both ends. */
function frameOf(bits: 8 | 16 | 'float'): Frame {
  const scale = bits === 'float' ? 1 : 2 ** bits - 1
  const samples = Array.from({ length: 3 * 40 * 30 }, (_, i) => {
    const share = ((i * 7919) % 3571) / 3570
    return bits === 'float' ? 1.3 * share - 0.1 : Math.round(scale * share)
  })
  const data =
    bits === 8
      ? Uint8Array.from(samples)
      : bits === 16
        ? Uint16Array.from(samples)
        : Float32Array.from(samples)
  return createFrame(40, 30, data, bits)
}

/** A root-polynomial of second degree: beside the matrix what √RG, √GB and √RB add. */
const bent: MatchModel = {
  ...model,
  kind: 'root-polynomial-2',
  rootPolynomial: [
    [0.05, 0, -0.05],
    [0.1, -0.1, 0],
    [0, -0.1, 0],
  ],
}

describe('screenFrames', () => {
  it.each([
    [8, model],
    [16, model],
    ['float', model],
    [16, bent],
  ] as const)('is what encoding each pixel by itself gives, bits: %s', (bits, model) => {
    const encoding = resolveEncoding({ transfer: 'bt709', primaries: 'bt2020', range: 'narrow' })
    const frame = frameOf(bits)
    const models = [plain, model]
    const shown = screenFrames(frame, encoding, models, working)
    const screen = resolveEncoding('srgb')
    const toScreen = primariesConversion(working, screen.primaries)
    for (let i = 0; i < frame.data.length; i += 3) {
      const recorded = [0, 1, 2].map((k) =>
        nominalFromFraction(frame.data[i + k]! / frame.codeScale, 'narrow', bits === 'float' ? 10 : bits),
      ) as unknown as Vec3
      models.forEach((one, k) => {
        const code = encodeRgb(screen, apply3(toScreen, applyModel(one, decodeRgb(encoding, recorded))))
        // Light below zero is black, and has no root.
        expect(code.some(Number.isNaN)).toBe(false)
        const expected = code.map((value) => (value > 0 ? Math.round(255 * Math.min(1, value)) : 0))
        expect([i, k, ...shown[k]!.data.subarray(i, i + 3)]).toEqual([i, k, ...expected])
      })
    }
  })
})
