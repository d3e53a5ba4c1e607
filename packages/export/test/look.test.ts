import { apply3, multiply3, resolveEncoding, resolveTransfer, type Vec3 } from '@isochip/core'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  bakeLattice,
  bakeMatch,
  type CurveLut,
  chainTransforms,
  clfFromMatch,
  compareLuts,
  compareTransforms,
  concatenateLuts,
  concatenateProcessLists,
  invertMatch,
  lutTransform,
  matchTransform,
  type ProcessNode,
  processListTransform,
  samplePoints,
  separateLattice,
  transferTableOf,
} from '../src/index.ts'
import { latticeLuts } from './support/luts.ts'
import { matchOf, neutralModel, rootPolynomialModel, strongModel } from './support/matches.ts'

const unit = fc.double({ min: 0, max: 1, noNaN: true })
const colours = fc.tuple(unit, unit, unit)
const close = (a: Vec3, b: Vec3, within: number) => {
  for (const c of [0, 1, 2]) expect(Math.abs(a[c]! - b[c]!)).toBeLessThan(within)
}
const curve = (power: number, size = 1024): CurveLut => ({
  kind: 'curve',
  size,
  domainMin: [0, 0, 0],
  domainMax: [1, 1, 1],
  table: Float64Array.from({ length: 3 * size }, (_, i) => (Math.floor(i / 3) / (size - 1)) ** power),
})

describe('concatenate', () => {
  it('at the nodes it is the second after the first', () => {
    fc.assert(
      fc.property(latticeLuts(), latticeLuts(), (first, second) => {
        const both = concatenateLuts(first, second, { size: first.size })
        expect(both.kind).toBe('lattice')
        const f = lutTransform(second)
        for (let i = 0; both.kind === 'lattice' && i < first.tableRedFastest.length; i += 3) {
          const [r, g, b] = first.tableRedFastest.subarray(i, i + 3)
          close([...both.tableRedFastest.subarray(i, i + 3)] as unknown as Vec3, f([r!, g!, b!]), 1e-9)
        }
      }),
    )
  })
  it('a curve before a lattice becomes a lattice', () => {
    const cross = bakeLattice(([r, g, b]) => [g, b, r], { size: 2 })
    const both = concatenateLuts(curve(1, 3), cross)
    expect(both.kind).toBe('lattice')
    close(lutTransform(both)([0.1, 0.5, 0.9]), [0.5, 0.9, 0.1], 1e-12)
    expect(concatenateLuts(cross, curve(1, 3)).kind).toBe('lattice')
  })
  it('of two process lists the input is that of the first, the output that of the second', () => {
    const list = (id: string) => ({
      id,
      inputDescriptor: `to ${id}`,
      outputDescriptor: `from ${id}`,
      nodes: [],
    })
    expect(concatenateProcessLists(list('a'), list('b'), 'x')).toMatchObject({
      inputDescriptor: 'to a',
      outputDescriptor: 'from b',
    })
    const plain = concatenateProcessLists({ id: 'a', nodes: [] }, { id: 'b', nodes: [] }, 'x')
    expect(Object.keys(plain)).toEqual(['id', 'nodes'])
  })
  it('is associative where nothing is lost between nodes (affine LUTs that stay in the domain)', () => {
    const weight = fc.double({ min: 0, max: 1 / 3, noNaN: true })
    const row = fc.tuple(weight, weight, weight)
    const affine = fc.tuple(row, row, row).map((m) => bakeLattice((x) => apply3(m, x), { size: 3 }))
    fc.assert(
      fc.property(affine, affine, affine, colours, (a, b, c, rgb) => {
        const left = concatenateLuts(concatenateLuts(a, b), c)
        const right = concatenateLuts(a, concatenateLuts(b, c))
        close(lutTransform(left)(rgb), lutTransform(right)(rgb), 1e-12)
        close(lutTransform(left)(rgb), chainTransforms(...[a, b, c].map((l) => lutTransform(l)))(rgb), 1e-12)
      }),
    )
  })
  it('two 1D LUTs stay one, on the domain of the first', () => {
    const both = concatenateLuts({ ...curve(2), domainMax: [2, 2, 2] }, curve(0.5))
    expect(both).toMatchObject({ kind: 'curve', size: 1024, domainMax: [2, 2, 2] })
    close(lutTransform(both)([1, 0.5, 2]), [0.5, 0.25, 1], 1e-3)
  })
  it('process lists: associative, and the function is the chain', () => {
    const [a, b, c] = (['bt709', 'acescct', { power: 2.2 }] as const).map((encoding, i) =>
      typeof encoding === 'string'
        ? clfFromMatch(matchOf(encoding, encoding), { id: `m${i}` }).list
        : clfFromMatch(matchOf({ transfer: encoding }, { transfer: encoding }), { id: `m${i}` }).list,
    ) as [
      ReturnType<typeof clfFromMatch>['list'],
      ReturnType<typeof clfFromMatch>['list'],
      ReturnType<typeof clfFromMatch>['list'],
    ]
    const left = concatenateProcessLists(concatenateProcessLists(a, b, 'x'), c, 'y')
    const right = concatenateProcessLists(a, concatenateProcessLists(b, c, 'x'), 'y')
    expect(left).toEqual(right)
    const chain = chainTransforms(...[a, b, c].map(processListTransform))
    expect(processListTransform(left)([0.3, 0.5, 0.7])).toEqual(chain([0.3, 0.5, 0.7]))
  })
  it('refuses process lists whose bit depths do not meet', () => {
    const node = { type: 'Range', style: 'clamp', minIn: 0, minOut: 0 } as const
    const list = { id: 'a', nodes: [{ ...node, inBitDepth: '10i', outBitDepth: '10i' } as const] }
    expect(() => concatenateProcessLists(list, { id: 'b', nodes: [node] }, 'x')).toThrow(
      '"a" ends in 10i, but "b" starts with 32f',
    )
  })
})

describe('invertMatch', () => {
  it.each([
    ['BT.709 to BT.2020', matchOf('bt2020', { transfer: 'bt2020', primaries: 'bt709' })],
    ['ACEScct to narrow BT.709', matchOf('acescct', { transfer: { power: 2.4 }, range: 'narrow' })],
    ['P3 linear to linear', matchOf({ transfer: 'linear', primaries: 'p3-d65' }, 'linear')],
  ])('there and back: %s', (_, match) => {
    const there = matchTransform(match)
    const inverse = invertMatch(match)
    const back = matchTransform(inverse)
    const forth = matchTransform(invertMatch(inverse))
    fc.assert(
      fc.property(colours, (rgb) => {
        const out = there(rgb)
        // Curves steep near black make code differences of many roundings.
        close(back(out), rgb, 1e-8)
        close(forth(rgb), out, 1e-8)
      }),
    )
    for (const row of inverse.model.matrix) expect(row[0] + row[1] + row[2]).toBeCloseTo(1, 12)
  })
  it('refuses what cannot be undone', () => {
    expect(() => invertMatch(matchOf('bt709', 'bt709', rootPolynomialModel))).toThrow(
      'it is a root polynomial',
    )
    const flat = { ...strongModel, gain: [1, 0, 1] as const }
    expect(() => invertMatch(matchOf('bt709', 'bt709', flat))).toThrow('its matrix or gain is singular')
  })
})

describe('compareLuts', () => {
  it('a LUT and itself are the same', () => {
    fc.assert(
      fc.property(latticeLuts(), (lut) => {
        const { maxDE00, maxCode } = compareLuts(lut, lut, {
          output: resolveEncoding('bt709'),
          points: [[0.5, 0.5, 0.5]],
        })
        expect(maxCode).toBe(0)
        expect(maxDE00).toBeLessThan(1e-9)
      }),
      { numRuns: 20 },
    )
  })
  it('finds the largest difference and where it is', () => {
    const a = bakeLattice((x) => x, { size: 2 })
    const b = bakeLattice(([r, g, bl]) => [r, g, bl * 0.9], { size: 2 })
    const { maxCode, meanCode, worst, points } = compareLuts(a, b, { output: resolveEncoding('bt709') })
    expect(points).toBe(20_000)
    expect(maxCode).toBeCloseTo(0.1, 3)
    // The mean of 0.1 · blue over the cube.
    expect(meanCode).toBeCloseTo(0.05, 4)
    expect(worst[2]).toBeGreaterThan(0)
  })
})

describe('separateLattice', () => {
  it('finds curves and matrix again', () => {
    const m = multiply3(strongModel.matrix, neutralModel.matrix)
    const lut = bakeLattice(
      ([r, g, b]) => {
        const y = apply3(m, [r ** 2, g ** 0.5, b])
        return [y[0] + 0.1, y[1], y[2] - 0.1]
      },
      { size: 9 },
    )
    const found = separateLattice(lut)!
    expect(found.error).toBeLessThan(1e-12)
    found.matrix.forEach((row, r) => {
      close(row, m[r]!, 1e-12)
    })
    close(found.offset, [0.1, 0, -0.1], 1e-12)
    close([...found.curve.table.subarray(12, 15)] as unknown as Vec3, [0.25, 0.5 ** 0.5, 0.5], 1e-12)
  })
  it('a linear match into linear light is no more than that; into a curve it is more', () => {
    expect(separateLattice(bakeMatch(matchOf('acescct', 'linear'), { size: 9 }))).toBeDefined()
    expect(separateLattice(bakeMatch(matchOf('acescct', 'bt709'), { size: 9 }))).toBeUndefined()
    expect(separateLattice(bakeLattice(() => [0.5, 0.5, 0.5], { size: 3 }))!.error).toBe(0)
  })
})

describe('transferTableOf', () => {
  it('a 1D LUT that linearises becomes an encoding', () => {
    const table = transferTableOf({ ...curve(2.4, 4096), domainMin: [-0.25, -0.25, -0.25] })
    expect(table.code[0]).toBe(-0.25)
    expect(table.code.at(-1)).toBe(1)
    const { decode } = resolveTransfer({ table: transferTableOf(curve(2.4, 4096)) })
    expect(decode(0.5, 1)).toBeCloseTo(0.5 ** 2.4, 6)
  })
  it('a process list too', () => {
    const list = clfFromMatch(matchOf('acescct', 'linear', neutralModel), { id: 'x' }).list
    const table = transferTableOf({ ...list, nodes: list.nodes.slice(0, 1) })
    const { decode } = resolveTransfer({ table })
    expect(decode(0.5, 2)).toBeCloseTo(resolveTransfer('acescct').decode(0.5, 2), 5)
  })
  it('refuses domains that differ', () => {
    expect(() => transferTableOf({ ...curve(2), domainMax: [1, 2, 1] })).toThrow(
      'expected the same in all channels',
    )
  })
  it.each([
    [
      'a matrix',
      {
        type: 'Matrix',
        matrix: [
          [0.9, 0.1, 0],
          [0, 1, 0],
          [0, 0, 1],
        ],
        offset: [0, 0, 0],
      },
      'red',
    ],
    [
      'a faint matrix',
      {
        type: 'Matrix',
        matrix: [
          [1, 0, 0],
          [0, 1, 0],
          [1e-4, -1e-4, 1],
        ],
        offset: [0, 0, 0],
      },
      'blue',
    ],
    [
      'a saturation',
      {
        type: 'ASC_CDL',
        style: 'FwdNoClamp',
        slope: [1, 1, 1],
        offset: [0, 0, 0],
        power: [1, 1, 1],
        saturation: 1.1,
      },
      'red',
    ],
  ] as const)('refuses %s: a curve acts on each channel alone', (_, node, channel) => {
    const { nodes } = clfFromMatch(matchOf('acescct', 'linear', neutralModel), { id: 'x' }).list
    const attempt = () => transferTableOf({ id: 'x', nodes: [nodes[0]!, node as ProcessNode] })
    expect(attempt).toThrowError(
      expect.objectContaining({
        code: 'encoding-unknown',
        message: expect.stringContaining(`${channel} depends on the other channels`),
      }),
    )
  })
  it('takes a matrix that scales the channels', () => {
    const { nodes } = clfFromMatch(matchOf('acescct', 'linear', neutralModel), { id: 'x' }).list
    const scale: ProcessNode = {
      type: 'Matrix',
      matrix: [
        [2, 0, 0],
        [0, 1, 0],
        [0, 0, 0.5],
      ],
      offset: [0, 0.1, 0],
    }
    const table = transferTableOf({ id: 'x', nodes: [nodes[0]!, scale] })
    const plain = transferTableOf({ id: 'x', nodes: [nodes[0]!] })
    expect(table.light[0].at(-1)! / plain.light[0].at(-1)!).toBeCloseTo(2, 9)
    expect(table.light[2].at(-1)! / plain.light[2].at(-1)!).toBeCloseTo(0.5, 9)
  })
})

describe('a match as a process list', () => {
  it.each([
    // Formulas of the format: no more than double precision.
    ['acescct', 'bt2020', 1e-9],
    ['acescct', { transfer: { power: 2.4 }, range: 'narrow' }, 1e-9],
    ['linear', 'bt1886', 1e-9],
    // Constants that IEC 61966-2-1 and BT.709-6 print rounded: the step of BT.709 at its break is 2.4e-4.
    ['srgb', 'srgb', 2e-5],
    ['bt709', 'bt709', 4e-4],
  ] as const)('%s to %o', (source, output, within) => {
    const match = matchOf(source, output)
    const { list, deviation, warnings } = clfFromMatch(match, { id: 'x', name: 'Day' })
    expect(deviation).toBeLessThan(within)
    expect(warnings.map(({ code }) => code)).toEqual(deviation > 0.25 / 65535 ? ['clf-deviation'] : [])
    expect(list.nodes.every(({ type }) => type !== 'LUT3D' && type !== 'LUT1D')).toBe(true)
    const f = processListTransform(list)
    const exact = matchTransform(match)
    const { maxCode } = compareTransforms(f, exact, samplePoints(3000), () => [50, 0, 0])
    expect(maxCode).toBeLessThan(within)
  })
  it('with curves as tables the printed BT.709 is met', () => {
    const match = matchOf('bt709', 'bt709')
    const { list, deviation } = clfFromMatch(match, { id: 'x', curves: 'table' })
    expect(list.nodes.map(({ type }) => type)).toEqual(['LUT1D', 'Matrix', 'LUT1D'])
    const f = processListTransform(list)
    // Beside single precision there is the chord over the step of 2.4e-4 at the break: between two half floats.
    const { meanCode } = compareTransforms(f, matchTransform(match), samplePoints(3000), () => [50, 0, 0])
    expect(meanCode).toBeLessThan(1e-6)
    expect(deviation).toBeLessThan(2.5e-4)
  })
  it('curves without a formula become a LUT1D, a root polynomial a LUT3D', () => {
    const types = (list: { nodes: readonly { type: string }[] }) => list.nodes.map(({ type }) => type)
    expect(types(clfFromMatch(matchOf('hlg', 'pq'), { id: 'x' }).list)).toEqual(['LUT1D', 'Matrix', 'LUT1D'])
    const rp = clfFromMatch(matchOf('bt709', 'bt709', rootPolynomialModel), { id: 'x', size: 17 })
    expect(types(rp.list)).toEqual(['LUT3D'])
    expect(rp.warnings).toMatchObject([{ code: 'clf-deviation' }])
  })
})
