import { IsochipError } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import { checkCorners } from '../src/index.ts'

const frame = { width: 100, height: 80, file: 'day.tif' }
const good = [
  [10, 10],
  [90, 12],
  [88, 70],
  [12, 68],
] as const

describe('checkCorners', () => {
  it('passes a convex quad that runs clockwise, wherever it begins', () => {
    for (let k = 0; k < 4; k++) {
      const turned = [...good.slice(k), ...good.slice(0, k)]
      expect(checkCorners(turned, frame)).toEqual(turned)
    }
  })

  it('passes corners on the edges of the frame', () => {
    const whole = [
      [0, 0],
      [100, 0],
      [100, 80],
      [0, 80],
    ] as const
    expect(checkCorners(whole, frame)).toEqual(whole)
  })

  it('draws the line at a sine of 0.0175, a degree from straight', () => {
    // A corner in the middle of a side of 80, moved outwards: what is left to 180° is twice the slope of each half.
    const bent = (degrees: number) =>
      [
        [10, 12],
        [50, 12 - 40 * Math.tan((degrees * Math.PI) / 360)],
        [90, 12],
        [12, 68],
      ] as const
    expect(checkCorners(bent(1.05), frame)).toHaveLength(4)
    expect(() => checkCorners(bent(0.95), frame)).toThrow(/on a line/)
  })

  it.each([
    ['three corners', good.slice(0, 3), /3 corners where a chart has 4/],
    ['not a number', [[10, Number.NaN], ...good.slice(1)], /not pairs of finite numbers/],
    [
      'outside',
      [
        [10, 10],
        [101, 12],
        [88, 70],
        [12, 68],
      ],
      /\[101, 12\] lies outside the frame of 100 × 80/,
    ],
    [
      'on a line',
      [
        [10, 10],
        [50, 10],
        [90, 10],
        [12, 68],
      ],
      /on a line/,
    ],
    [
      'coinciding',
      [
        [10, 10],
        [10, 10],
        [90, 70],
        [12, 68],
      ],
      /on a line, or two coincide/,
    ],
    [
      'crossed',
      [
        [10, 10],
        [90, 12],
        [12, 68],
        [88, 70],
      ],
      /cross/,
    ],
    [
      'dented',
      [
        [10, 10],
        [90, 12],
        [30, 25],
        [12, 68],
      ],
      /inside the triangle/,
    ],
    ['anticlockwise', [...good].reverse(), /run anticlockwise/],
  ] as [string, [number, number][], RegExp][])('refuses corners that are %s', (_, corners, message) => {
    let fault: unknown
    try {
      checkCorners(corners, frame)
    } catch (error) {
      fault = error
    }
    expect(fault).toBeInstanceOf(IsochipError)
    expect(fault).toMatchObject({ code: 'corners-invalid', place: { file: 'day.tif' } })
    expect((fault as IsochipError).message).toMatch(message)
    expect((fault as IsochipError).hint).toBeTruthy()
  })

  it('says mirrored in the hint for anticlockwise corners', () => {
    expect(() => checkCorners([...good].reverse(), frame)).toThrow(
      expect.objectContaining({ hint: expect.stringContaining('mirrored') }),
    )
  })
})
