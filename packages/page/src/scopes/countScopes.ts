import { scopeLayout } from './scopeLayout.ts'
import type { ScopeStandard } from './standard.ts'
import { placeOfDifference, rowOfLevel, type ScopePixels } from './trace.ts'

const { width: across, height: down, parade, luma, vector } = scopeLayout
/** Columns of each channel of the parade. */
export const third = Math.floor((parade.width - 2 * parade.gap) / 3)

/**
 * How often each point of the three scopes was hit, on one canvas: what `paradeTraces`, `lumaTrace` and `vectorTrace` count,
 * in one pass, so that a running picture can be followed without a GPU.
 */
export function countScopes(
  { width, height, data, unit }: ScopePixels,
  standard: ScopeStandard,
): Uint32Array {
  const hits = new Uint32Array(across * down)
  const [kr, kg, kb] = standard.luma
  // Rows fall with the level, and places rise with the difference, both in a straight line.
  const zero = rowOfLevel(0, 1)
  const slope = (rowOfLevel(1, 1) - zero) / unit
  const middle = placeOfDifference(0, vector.side)
  const reach = (placeOfDifference(1, vector.side) - middle) / unit
  const perCb = reach / (2 * (1 - kb))
  const perCr = reach / (2 * (1 - kr))
  const paradeColumns = columnsOf(width, third)
  const lumaColumns = columnsOf(width, luma.width)
  const [tall, lumaTall, side] = [parade.height, luma.height, vector.side]
  const paradeStart = parade.top * across + parade.left
  const lumaStart = luma.top * across + luma.left
  const vectorStart = vector.top * across + vector.left
  const next = third + parade.gap
  let at = 0
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++, at += 3) {
      const r = data[at]!
      const g = data[at + 1]!
      const b = data[at + 2]!
      const level = kr * r + kg * g + kb * b
      const column = paradeStart + paradeColumns[x]!
      hits[column + held(tall * (zero + slope * r), tall) * across]!++
      hits[column + next + held(tall * (zero + slope * g), tall) * across]!++
      hits[column + 2 * next + held(tall * (zero + slope * b), tall) * across]!++
      hits[lumaStart + lumaColumns[x]! + held(lumaTall * (zero + slope * level), lumaTall) * across]!++
      const left = held(middle + perCb * (b - level), side)
      const top = held(side - middle - perCr * (r - level), side)
      hits[vectorStart + left + top * across]!++
    }
  }
  return hits
}

const held = (at: number, size: number) => (at < 0 ? 0 : at >= size ? size - 1 : Math.trunc(at))

function columnsOf(width: number, columns: number): Uint16Array {
  return Uint16Array.from({ length: width }, (_, x) => Math.floor((x * columns) / width))
}
