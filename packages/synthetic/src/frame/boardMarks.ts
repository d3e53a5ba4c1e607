import type { Vec3 } from '@isochip/core'
import type { Rect } from '../picture/rectLayer.ts'

/**
 * What is printed on many boards: an angle at each corner of the patch grid, and a scale below it. In the coordinates
 * of the grid; left away where the margin is too narrow.
 */
export function boardMarks(
  aspect: number,
  margin: readonly [number, number, number, number],
  colour: Vec3,
): readonly Rect[] {
  if (Math.min(...margin) < 0.06) return []
  const rects: Rect[] = []
  const across = 1 / aspect
  const add = (u0: number, v0: number, u1: number, v1: number) =>
    rects.push({ bounds: [Math.min(u0, u1), Math.min(v0, v1), Math.max(u0, u1), Math.max(v0, v1)], colour })
  const off = 0.035
  const arm = 0.05
  const thick = 0.007
  for (const [cornerU, sideU] of [
    [0, -1],
    [1, 1],
  ] as const) {
    for (const [cornerV, sideV] of [
      [0, -1],
      [1, 1],
    ] as const) {
      const u = cornerU + sideU * off * across
      const v = cornerV + sideV * off
      add(u, v, u - sideU * arm * across, v - sideV * thick)
      add(u, v, u - sideU * thick * across, v - sideV * arm)
    }
  }
  for (let tick = 0; tick <= 20; tick++) {
    const u = 0.2 + tick * 0.02
    add(u, 1.03, u + 0.004 * across, 1.03 + (tick % 5 === 0 ? 0.026 : 0.015))
  }
  return rects
}

/** The pole of a stand and the clamp on it, behind the board. A pole is round: light in its middle, dark at the sides. */
export function standRects(
  aspect: number,
  margin: readonly [number, number, number, number],
  grey: (level: number) => Vec3,
): readonly Rect[] {
  const across = 1 / aspect
  const foot = 1 + margin[3]
  const bar = (half: number, top: number, bottom: number, level: number, shift = 0): Rect => ({
    bounds: [0.5 + (shift - half) * across, top, 0.5 + (shift + half) * across, bottom],
    colour: grey(level),
  })
  return [
    bar(0.03, foot - 0.05, foot + 3, 0.025),
    bar(0.018, foot - 0.05, foot + 3, 0.06, -0.004),
    bar(0.006, foot - 0.05, foot + 3, 0.16, -0.008),
    bar(0.08, foot - 0.02, foot + 0.06, 0.03),
    bar(0.08, foot + 0.052, foot + 0.06, 0.1),
    bar(0.045, foot + 0.42, foot + 0.54, 0.02),
    bar(0.012, foot + 0.42, foot + 0.54, 0.09, -0.01),
  ]
}
