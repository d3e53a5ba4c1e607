import { differences, type ScopeStandard } from './standard.ts'

/** The six colours of the bars in their order round a vectorscope, and the letters that instruments have (common practice). */
export const barColours = [
  { letters: 'R', code: [1, 0, 0] },
  { letters: 'Yl', code: [1, 1, 0] },
  { letters: 'G', code: [0, 1, 0] },
  { letters: 'Cy', code: [0, 1, 1] },
  { letters: 'B', code: [0, 0, 1] },
  { letters: 'Mg', code: [1, 0, 1] },
] as const

export interface BarTarget {
  readonly letters: string
  readonly y: number
  readonly cb: number
  readonly cr: number
}

/** Where the bars of a level stand, by the matrix of the standard. */
export function barTargets({ luma }: ScopeStandard, level: number): readonly BarTarget[] {
  return barColours.map(({ letters, code: [r, g, b] }) => {
    const [y, cb, cr] = differences(luma, level * r, level * g, level * b)
    return { letters, y, cb, cr }
  })
}

/** Direction of the skin line, degrees from +C_B to +C_R. Common practice, no source. */
export const skinDegrees = 123
