import { EigenvalueDecomposition, inverse, Matrix, QrDecomposition } from 'ml-matrix'
import { describe, expect, it } from 'vitest'
import { inverseRoot3 } from '../src/linear/inverseRoot3.ts'
import { seededRandom } from '../src/random.ts'
import { arraysOf } from '../src/solver/arraysOf.ts'
import { divideByTriangle } from '../src/solver/divideByTriangle.ts'
import { scaleColumns } from '../src/solver/scaleColumns.ts'
import { triangularise } from '../src/solver/triangularise.ts'

// The reference of this file is ml-matrix, a library that these kernels stand in for where time counts.
const random = seededRandom(7)
const anyMatrix = (rows: number, columns: number) =>
  new Matrix(Array.from({ length: rows }, () => Array.from({ length: columns }, () => 2 * random() - 1)))
const flat = (matrix: Matrix) => Float64Array.from(matrix.to1DArray())
const difference = (a: ArrayLike<number>, b: ArrayLike<number>) =>
  Math.max(...Array.from(a, (value, i) => Math.abs(value - b[i]!)))

describe('inverse root of a symmetric 3×3 matrix', () => {
  const rootOf = (a: Matrix, least = 0) => {
    const out = new Float64Array(9)
    inverseRoot3(flat(a), least, out, new Float64Array(9))
    return Matrix.from1DArray(3, 3, [...out])
  }

  it('agrees with the eigenvectors of ml-matrix', () => {
    for (let round = 0; round < 200; round++) {
      const b = anyMatrix(3, 3)
      const a = b.mmul(b.transpose()).add(Matrix.eye(3).mul(0.01))
      const { eigenvectorMatrix: V, realEigenvalues } = new EigenvalueDecomposition(a, {
        assumeSymmetric: true,
      })
      const expected = V.mmul(Matrix.diag(realEigenvalues.map((value) => 1 / Math.sqrt(value)))).mmul(
        V.transpose(),
      )
      expect(difference(flat(rootOf(a)), flat(expected))).toBeLessThan(1e-11)
    }
  })

  it('squared is the inverse (the definition of a root)', () => {
    for (let round = 0; round < 200; round++) {
      const b = anyMatrix(3, 3)
      const a = b.mmul(b.transpose()).add(Matrix.eye(3).mul(0.01))
      const root = rootOf(a)
      expect(difference(flat(root.mmul(root).mmul(a)), flat(Matrix.eye(3)))).toBeLessThan(1e-11)
    }
  })

  it('is the reciprocal root of a diagonal, and zero along what is not above the least', () => {
    expect([...flat(rootOf(Matrix.diag([4, 1e-9, 0.25]), 1e-6))]).toEqual([0.5, 0, 0, 0, 0, 0, 0, 0, 2])
    expect([...flat(rootOf(Matrix.zeros(3, 3), 1e-6))]).toEqual(Array(9).fill(0))
  })
})

describe('a triangular division', () => {
  it('is multiplication by the inverse as ml-matrix has it', () => {
    const m = 12
    const R = anyMatrix(m, m)
    for (let i = 0; i < m; i++) R.set(i, i, 2 + R.get(i, i))
    const upper = R.clone()
    for (let i = 0; i < m; i++) for (let j = 0; j < i; j++) upper.set(i, j, 0)
    const a = anyMatrix(30, m)
    const x = flat(a)
    divideByTriangle(flat(R), x, 30, m)
    expect(difference(x, flat(a.mmul(inverse(upper))))).toBeLessThan(1e-12)
  })

  it('of a matrix by its own triangle leaves orthogonal columns: those of the QR of ml-matrix but for signs', () => {
    const a = anyMatrix(40, 7)
    const R = flat(a)
    triangularise(R, 40, 7, 7)
    const Q = flat(a)
    divideByTriangle(R, Q, 40, 7)
    const expected = new QrDecomposition(a).orthogonalMatrix
    expect(difference(Q.map(Math.abs), flat(expected).map(Math.abs))).toBeLessThan(1e-13)
  })
})

describe('scaling of columns', () => {
  it('divides by the norms that ml-matrix finds, and leaves a column of zeros', () => {
    const a = anyMatrix(20, 4)
    for (let i = 0; i < 20; i++) a.set(i, 2, 0)
    const scaled = flat(a)
    const scale = scaleColumns(scaled, 20, 4)
    const norms = [0, 1, 2, 3].map((j) => a.getColumnVector(j).norm() || 1)
    expect(difference(scale, norms)).toBeLessThan(1e-15 * 20)
    for (let j = 0; j < 4; j++) a.mulColumn(j, 1 / norms[j]!)
    expect(difference(scaled, flat(a))).toBeLessThan(1e-15)
  })
})

describe('arrays over one buffer', () => {
  it('have their lengths, are zero, and do not overlap', () => {
    const arrays = arraysOf([2, 0, 3])
    expect(arrays.map((array) => [...array])).toEqual([[0, 0], [], [0, 0, 0]])
    for (const [i, array] of arrays.entries()) array.fill(i + 1)
    expect(arrays.map((array) => [...array])).toEqual([[1, 1], [], [3, 3, 3]])
  })
})
