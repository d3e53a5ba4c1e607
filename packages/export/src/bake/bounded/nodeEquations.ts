/** Over-relaxation: neighbours pull the same way, so a step may go a little further than the one node would. */
const relaxation = 1.3
/** A hundredth of a step of 16 bits. */
const settled = 1.5e-7
const mostSweeps = 300
/** Numbers of the matrix that are kept of each node. */
const kept = 8

const clip = (x: number) => Math.min(Math.max(x, 0), 1)

/**
 * Least squares for the nodes of a lattice that is interpolated tetrahedrally: least Σ w·(Σ aₙtₙ − y)² over samples,
 * each channel apart, with every node within 0…1. A node shares tetrahedra with fourteen others, so the equations have
 * fifteen terms a node. They are solved one node after the other, over and over, each cut to its bounds (projected
 * Gauss–Seidel: C. W. Cryer, The solution of a quadratic programming problem using systematic overrelaxation, SIAM
 * Journal on Control 9, 1971).
 */
export class NodeEquations {
  private readonly nodes: number
  /** Of each node: with itself, then with the ends of its edges upwards, whose bits are 1 red, 2 green, 4 blue. */
  private readonly matrix: Float64Array
  private readonly right: Float64Array
  /** How many nodes further the end of an edge stands. */
  private readonly ahead: Int32Array

  /** @param size nodes along each axis */
  constructor(size: number) {
    this.nodes = size * size * size
    this.matrix = new Float64Array(kept * this.nodes)
    this.right = new Float64Array(3 * this.nodes)
    this.ahead = Int32Array.from(
      { length: kept },
      (_, edge) => (edge & 1) + ((edge >> 1) & 1) * size + (edge >> 2) * size * size,
    )
  }

  /**
   * A sample in the cell whose first node is `base`, at these fractions of it: the colour `triples[at…at + 2]`, cut to
   * 0…1, counts with this weight.
   */
  add(
    base: number,
    r: number,
    g: number,
    b: number,
    weight: number,
    triples: Float64Array,
    at: number,
  ): void {
    // The axes in the order of falling fractions, as `tetrahedral` walks. A tie has no weight either way.
    let first = 4
    let second = 6
    let [most, middle, least] = [b, g, r]
    if (r >= g) {
      if (g >= b) [first, second, most, middle, least] = [1, 3, r, g, b]
      else if (r >= b) [first, second, most, middle, least] = [1, 5, r, b, g]
      else [first, second, most, middle, least] = [4, 5, b, r, g]
    } else if (r >= b) [first, second, most, middle, least] = [2, 3, g, r, b]
    else if (g >= b) [first, second, most, middle, least] = [2, 6, g, b, r]
    const share0 = 1 - most
    const share1 = most - middle
    const share2 = middle - least
    const w0 = weight * share0
    const w1 = weight * share1
    const w2 = weight * share2
    const w3 = weight * least
    const { matrix, ahead } = this
    const n1 = base + ahead[first]!
    const n2 = base + ahead[second]!
    const n3 = base + ahead[7]!
    matrix[kept * base]! += w0 * share0
    matrix[kept * base + first]! += w0 * share1
    matrix[kept * base + second]! += w0 * share2
    matrix[kept * base + 7]! += w0 * least
    matrix[kept * n1]! += w1 * share1
    matrix[kept * n1 + second - first]! += w1 * share2
    matrix[kept * n1 + 7 - first]! += w1 * least
    matrix[kept * n2]! += w2 * share2
    matrix[kept * n2 + 7 - second]! += w2 * least
    matrix[kept * n3]! += w3 * least
    const { right } = this
    for (let c = 0; c < 3; c++) {
      const y = clip(triples[at + c]!)
      right[3 * base + c]! += w0 * y
      right[3 * n1 + c]! += w1 * y
      right[3 * n2 + c]! += w2 * y
      right[3 * n3 + c]! += w3 * y
    }
  }

  /** Holds every node near what it is in `table`, with this share of the weight that its samples have. */
  hold(table: Float64Array, share: number): void {
    for (let node = 0; node < this.nodes; node++) {
      const more = share * this.matrix[kept * node]!
      this.matrix[kept * node]! += more
      for (let c = 0; c < 3; c++) this.right[3 * node + c]! += more * table[3 * node + c]!
    }
  }

  /** Solves for the nodes in `table`, in place, from what they are. Those without samples, and the `fixed`, stay. */
  solve(table: Float64Array, fixed: Uint8Array): void {
    for (let i = 0; i < mostSweeps; i++) {
      if (this.sweep(table, fixed, relaxation, 0) < settled) return
    }
  }

  /** Nodes at whole steps: the nearest ones, then any that makes the sum of squares less. */
  solveWhole(table: Float64Array, fixed: Uint8Array, steps: number): void {
    for (let i = 0; i < table.length; i++) {
      if (fixed[Math.floor(i / 3)] === 0) table[i] = Math.round(table[i]! * steps) / steps
    }
    for (let i = 0; i < mostSweeps; i++) if (this.sweep(table, fixed, 1, steps) === 0) return
  }

  /** Once through all nodes; the largest move. @param steps whole steps from 0 to 1, 0 for none */
  private sweep(table: Float64Array, fixed: Uint8Array, relax: number, steps: number): number {
    const { matrix, right, ahead, nodes } = this
    let largest = 0
    for (let node = 0; node < nodes; node++) {
      const own = matrix[kept * node]!
      if (own <= 0 || fixed[node] !== 0) continue
      let r = right[3 * node]!
      let g = right[3 * node + 1]!
      let b = right[3 * node + 2]!
      for (let edge = 1; edge < kept; edge++) {
        const up = matrix[kept * node + edge]!
        if (up !== 0) {
          const at = 3 * (node + ahead[edge]!)
          r -= up * table[at]!
          g -= up * table[at + 1]!
          b -= up * table[at + 2]!
        }
        const below = node - ahead[edge]!
        const down = below < 0 ? 0 : matrix[kept * below + edge]!
        if (down !== 0) {
          r -= down * table[3 * below]!
          g -= down * table[3 * below + 1]!
          b -= down * table[3 * below + 2]!
        }
      }
      for (let c = 0; c < 3; c++) {
        const now = table[3 * node + c]!
        const best = (c === 0 ? r : c === 1 ? g : b) / own
        let next = clip(now + relax * (best - now))
        if (steps > 0) next = Math.round(next * steps) / steps
        largest = Math.max(largest, Math.abs(next - now))
        table[3 * node + c] = next
      }
    }
    return largest
  }
}
