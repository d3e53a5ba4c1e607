import type { Vec3 } from '@isochip/core'
import type { Frame } from '../frame/frame.ts'
import type { SampleLight } from './lightTables.ts'
import { gate, madToSd, type PatchPlane } from './patchPlane.ts'
import { perChannel } from './perChannel.ts'

/** Smallest scatter that a curve is looked at with, over the code range. */
const leastScale = 1e-6

/** Light of every sample of an area, pixel by pixel. */
export function lightsOf(
  data: Frame['data'],
  width: number,
  runs: Int32Array,
  total: number,
  light: SampleLight,
) {
  const lights = new Float64Array(3 * total)
  const [t0, t1, t2] = light.tables ?? []
  let to = 0
  for (let r = 0; r < runs.length; r += 3) {
    const row = runs[r]! * width
    const end = 3 * (row + runs[r + 2]!)
    for (let at = 3 * (row + runs[r + 1]!); at < end; at += 3, to += 3) {
      if (t0 === undefined || t1 === undefined || t2 === undefined) {
        for (const c of [0, 1, 2] as const) lights[to + c] = light.at(data[at + c]!, c)
        continue
      }
      const [v0, v1, v2] = [data[at]!, data[at + 1]!, data[at + 2]!]
      let e0 = t0[v0]!
      let e1 = t1[v1]!
      let e2 = t2[v2]!
      if (Number.isNaN(e0)) e0 = t0[v0] = light.at(v0, 0)
      if (Number.isNaN(e1)) e1 = t1[v1] = light.at(v1, 1)
      if (Number.isNaN(e2)) e2 = t2[v2] = light.at(v2, 2)
      lights[to] = e0
      lights[to + 1] = e1
      lights[to + 2] = e2
    }
  }
  return lights
}

/** The curve about the levels of a patch, per channel. */
export interface LightSlopes {
  /** Light at the plane's level. */
  readonly light: Vec3
  /** Its change per sample value there. */
  readonly slope: Vec3
  /** How far a pixel's light may be from that of the plane. */
  readonly reach: Vec3
}

export function lightSlopes(plane: PatchPlane, light: SampleLight, codeScale: number): LightSlopes {
  // A quartile either way: quartiles stay quartiles through any curve.
  // Where nothing but rounding scatters, the slope would be lost in it too.
  const sd = perChannel((c) => Math.max(plane.scale[c], leastScale * codeScale))
  const slope = perChannel((c) => {
    const step = sd[c] / madToSd
    return (light.at(plane.level[c] + step, c) - light.at(plane.level[c] - step, c)) / (2 * step)
  })
  return {
    light: perChannel((c) => light.at(plane.level[c], c)),
    slope,
    reach: perChannel((c) => gate * slope[c] * sd[c]),
  }
}
