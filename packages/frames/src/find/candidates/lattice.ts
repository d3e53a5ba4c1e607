import type { Mat3 } from '@isochip/core'
import { hypot } from '@isochip/core'
import { fitHomography } from '../../geometry/fitHomography.ts'
import { type Point, project } from '../../geometry/homography.ts'
import { constants } from '../constants.ts'
import type { PatchCandidate } from './patchCandidates.ts'

/** Candidates that stand in rows and columns. */
export interface Lattice {
  /** Column and row of the lattice (whole numbers at the candidates' centres) → working pixels. */
  readonly map: Mat3
  readonly members: readonly LatticeMember[]
}

export interface LatticeMember {
  readonly column: number
  readonly row: number
  readonly candidate: PatchCandidate
}

interface Links {
  readonly candidate: PatchCandidate
  /** Neighbours in the directions +u, +v, −u, −v. */
  readonly to: (PatchCandidate | undefined)[]
}

const dot = (a: Point, b: Point) => a[0] * b[0] + a[1] * b[1]
const size = (a: Point) => hypot(a[0], a[1])

/** Coordinates of d in the basis u, v. */
function inBasis(d: Point, u: Point, v: Point): Point {
  const det = u[0] * v[1] - u[1] * v[0]
  return [(d[0] * v[1] - d[1] * v[0]) / det, (u[0] * d[1] - u[1] * d[0]) / det]
}

function linksOf(candidate: PatchCandidate, near: readonly PatchCandidate[]): Links {
  const { leastSpacing, mostSpacing, aside, asideCost, areaRatio } = constants.lattice
  const to: (PatchCandidate | undefined)[] = [undefined, undefined, undefined, undefined]
  const best = [
    Number.POSITIVE_INFINITY,
    Number.POSITIVE_INFINITY,
    Number.POSITIVE_INFINITY,
    Number.POSITIVE_INFINITY,
  ]
  for (const other of near) {
    if (
      other === candidate ||
      other.area > areaRatio * candidate.area ||
      candidate.area > areaRatio * other.area
    )
      continue
    const d: Point = [other.centre[0] - candidate.centre[0], other.centre[1] - candidate.centre[1]]
    const [a, b] = inBasis(d, candidate.u, candidate.v)
    const along = Math.max(Math.abs(a), Math.abs(b))
    const across = Math.min(Math.abs(a), Math.abs(b))
    if (along < leastSpacing || along > mostSpacing || across > aside) continue
    const direction = Math.abs(a) > Math.abs(b) ? (a > 0 ? 0 : 2) : b > 0 ? 1 : 3
    const cost = along + asideCost * across
    if (cost < best[direction]!) {
      best[direction] = cost
      to[direction] = other
    }
  }
  return { candidate, to }
}

/**
 * The lattices that candidates stand in, largest first; no candidate is in two.
 *
 * @param budget what growing lattices may still cost; where it is spent, the rest of the candidates stay by themselves
 * @param strayed how far, in cells, a candidate may lie off its place: much takes in poorly seen candidates and bent charts,
 *   little keeps a chart apart from tiles behind it that happen to go on where it ends
 */
export function findLattices(
  candidates: readonly PatchCandidate[],
  strayed: number,
  budget: { growing: number },
): Lattice[] {
  const sorted = [...candidates].sort((a, b) => a.centre[0] - b.centre[0])
  const links = sorted.map((candidate, i) => {
    const reach =
      (constants.lattice.mostSpacing + 0.05) *
      Math.max(Math.abs(candidate.u[0]) + Math.abs(candidate.v[0]), 1)
    let from = i
    while (from > 0 && candidate.centre[0] - sorted[from - 1]!.centre[0] < reach) from--
    let to = i
    while (to < sorted.length - 1 && sorted[to + 1]!.centre[0] - candidate.centre[0] < reach) to++
    return linksOf(candidate, sorted.slice(from, to + 1))
  })
  const degree = (one: Links) => one.to.filter((other) => other !== undefined).length
  const order = links
    .filter((one) => degree(one) >= 1)
    .sort((a, b) => degree(b) - degree(a) || b.candidate.area - a.candidate.area)
  const used = new Set<PatchCandidate>()
  const lattices: Lattice[] = []
  for (const seed of order) {
    if (budget.growing <= 0) break
    if (used.has(seed.candidate)) continue
    const lattice = grow(seed, sorted, strayed, budget)
    if (lattice === undefined || lattice.members.length < 3) continue
    for (const { candidate } of lattice.members) used.add(candidate)
    lattices.push(lattice)
  }
  return lattices.sort((a, b) => latticeWeight(b) - latticeWeight(a))
}

const latticeWeight = (lattice: Lattice) =>
  lattice.members.reduce((sum, member) => sum + member.candidate.area, 0)

const key = (column: number, row: number) => 1000 * row + column

function grow(
  { candidate, to }: Links,
  candidates: readonly PatchCandidate[],
  strayed: number,
  budget: { growing: number },
): Lattice | undefined {
  const { farthest } = constants.lattice
  const members = new Map<number, LatticeMember>()
  const taken = new Set<PatchCandidate>()
  const add = (column: number, row: number, member: PatchCandidate) => {
    members.set(key(column, row), { column, row, candidate: member })
    taken.add(member)
  }
  add(0, 0, candidate)
  const steps: readonly (readonly [number, number])[] = [
    [1, 0],
    [0, 1],
    [-1, 0],
    [0, -1],
  ]
  to.forEach((other, k) => {
    if (other !== undefined && !taken.has(other)) add(steps[k]![0], steps[k]![1], other)
  })
  let map = fit([...members.values()], candidate)
  for (let round = 0; round < 2 * farthest && map !== undefined; round++) {
    if (budget.growing <= 0) return undefined
    budget.growing -= constants.budget.grown * members.size
    const cells = new Map<number, readonly [number, number]>()
    for (const member of members.values()) {
      for (const [dx, dy] of steps) {
        const column = member.column + dx
        const row = member.row + dy
        if (Math.abs(column) > farthest || Math.abs(row) > farthest || members.has(key(column, row))) continue
        cells.set(key(column, row), [column, row])
      }
    }
    let grown = 0
    for (const [column, row] of cells.values()) {
      const found = candidateAt(map, column, row, candidates, taken, candidate, strayed)
      if (found === undefined) continue
      add(column, row, found)
      grown++
    }
    const next = fit([...members.values()], candidate)
    if (next === undefined) break
    map = next
    // A member that the map of all does not bear out was a stranger.
    for (const member of [...members.values()]) {
      if (misfit(map, member) <= strayed) continue
      members.delete(key(member.column, member.row))
      grown--
    }
    if (grown <= 0) break
  }
  return map === undefined ? undefined : { map, members: [...members.values()] }
}

/** Steps of one column and one row at a cell, in pixels. */
function stepsAt(map: Mat3, column: number, row: number): readonly [Point, Point] {
  const [x0, y0] = project(map, column - 0.5, row)
  const [x1, y1] = project(map, column + 0.5, row)
  const [x2, y2] = project(map, column, row - 0.5)
  const [x3, y3] = project(map, column, row + 0.5)
  return [
    [x1 - x0, y1 - y0],
    [x3 - x2, y3 - y2],
  ]
}

/** Distance of a member from its place, in cells. */
function misfit(map: Mat3, { column, row, candidate }: LatticeMember): number {
  const [x, y] = project(map, column, row)
  const [across, down] = stepsAt(map, column, row)
  return size(inBasis([candidate.centre[0] - x, candidate.centre[1] - y], across, down))
}

function candidateAt(
  map: Mat3,
  column: number,
  row: number,
  candidates: readonly PatchCandidate[],
  taken: ReadonlySet<PatchCandidate>,
  seed: PatchCandidate,
  strayed: number,
): PatchCandidate | undefined {
  const [x, y] = project(map, column, row)
  const [across, down] = stepsAt(map, column, row)
  const cell = Math.abs(across[0] * down[1] - across[1] * down[0])
  const { runAway, leastArea, mostArea } = constants.lattice
  if (!(cell > 4) || cell > runAway * seed.area || seed.area > runAway * cell) return undefined
  const reach = strayed * Math.max(size(across), size(down))
  let best: PatchCandidate | undefined
  let least = strayed
  // Candidates are sorted by x.
  let low = 0
  let high = candidates.length
  while (low < high) {
    const middle = (low + high) >> 1
    if (candidates[middle]!.centre[0] < x - reach) low = middle + 1
    else high = middle
  }
  for (let i = low; i < candidates.length && candidates[i]!.centre[0] <= x + reach; i++) {
    const candidate = candidates[i]!
    if (taken.has(candidate) || candidate.area < leastArea * cell || candidate.area > mostArea * cell)
      continue
    const offset = size(inBasis([candidate.centre[0] - x, candidate.centre[1] - y], across, down))
    if (offset < least) {
      least = offset
      best = candidate
    }
  }
  return best
}

/** Map of the lattice from its members; sides of the candidates stand in where they lie in one line. */
function fit(members: readonly LatticeMember[], seed: PatchCandidate): Mat3 | undefined {
  const from: Point[] = []
  const to: Point[] = []
  const weights: number[] = []
  let ratio = 0
  let ratios = 0
  const at = new Map(members.map((member) => [key(member.column, member.row), member]))
  for (const { column, row, candidate } of members) {
    from.push([column, row])
    to.push(candidate.centre)
    weights.push(1)
    for (const [dx, dy] of [
      [1, 0],
      [0, 1],
    ] as const) {
      const next = at.get(key(column + dx, row + dy))
      if (next === undefined) continue
      const d: Point = [
        next.candidate.centre[0] - candidate.centre[0],
        next.candidate.centre[1] - candidate.centre[1],
      ]
      const side =
        Math.abs(dot(d, candidate.u)) / size(candidate.u) > Math.abs(dot(d, candidate.v)) / size(candidate.v)
          ? candidate.u
          : candidate.v
      ratio += size(d) / size(side)
      ratios++
    }
  }
  const pitch = ratios > 0 ? ratio / ratios : constants.lattice.loosePitch
  const columns = new Set(members.map((member) => member.column)).size
  const rows = new Set(members.map((member) => member.row)).size
  if (columns === 1 || rows === 1 || members.length < 4) {
    // Half a cell either way, along the seed's sides: pitch / 2 pixels a side.
    for (const { column, row, candidate } of members) {
      const [u, v] = aligned(candidate, seed)
      for (const [dx, dy, side] of [
        [0.5, 0, u],
        [0, 0.5, v],
      ] as const) {
        for (const sign of [1, -1]) {
          from.push([column + sign * dx, row + sign * dy])
          to.push([
            candidate.centre[0] + (sign * pitch * side[0]) / 2,
            candidate.centre[1] + (sign * pitch * side[1]) / 2,
          ])
          weights.push(constants.lattice.sideWeight)
        }
      }
    }
  }
  const map = fitHomography(from, to, weights)
  return map?.flat().every(Number.isFinite) ? map : undefined
}

/** The candidate's side vectors, named and signed as the seed's. */
function aligned(candidate: PatchCandidate, seed: PatchCandidate): readonly [Point, Point] {
  const minus = (a: Point): Point => [-a[0], -a[1]]
  const all = [candidate.u, candidate.v, minus(candidate.u), minus(candidate.v)]
  const nearest = (to: Point) =>
    all.reduce((best, one) => (dot(one, to) / size(one) > dot(best, to) / size(best) ? one : best))
  return [nearest(seed.u), nearest(seed.v)]
}
