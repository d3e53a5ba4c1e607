import { bars75 } from '../colour/bars75.ts'
import { type Primaries, primariesConversion, resolvePrimaries, rgbToXyz } from '../colour/primaries.ts'
import { temperatureOf } from '../colour/temperature.ts'
import { type YCbCr, ycbcrOfCode } from '../colour/ycbcr.ts'
import { atan2 } from '../elementary/atan2.ts'
import { hypot } from '../elementary/hypot.ts'
import { log2 } from '../elementary/log2.ts'
import { bt709 } from '../encoding/bt709.ts'
import { apply3, inverse3, type Mat3, multiply3, type Vec3 } from '../linear/mat3.ts'
import { applyModel, type MatchModel } from '../model/model.ts'
import type { onSet, primaryShift } from '../shape/match.ts'
import type { Shape } from '../shape/shape.ts'

/** One primary or secondary of BT.709 before the match against what the match makes of it, on the vectorscope. */
export interface PrimaryShift extends Shape<typeof primaryShift> {}

/** A match in the words of the set: what would have to change at the camera for it to need no match. */
export interface OnSet extends Shape<typeof onSet> {}

/**
 * @param declared camera primaries → working primaries. @param working the working primaries.
 */
export function describeOnSet(model: MatchModel, declared: Mat3, working: Primaries): OnSet {
  const { gain, lift } = model
  const toCamera = inverse3(declared)
  const own = multiply3(toCamera, model.matrix)

  // What the camera makes of the target's white, as light in the working primaries.
  const seen = xyOf(apply3(rgbToXyz(working), apply3(declared, [1 / gain[0], 1 / gain[1], 1 / gain[2]])))
  const from = temperatureOf(seen)
  const to = temperatureOf(working.white)

  const bt709Primaries = resolvePrimaries('bt709')
  const toWorking = primariesConversion(bt709Primaries, working)
  const fromWorking = inverse3(toWorking)
  const through = (bar: Vec3): Vec3 => {
    const camera = apply3(toCamera, apply3(toWorking, bar))
    const light = (c: 0 | 1 | 2) => camera[c] / gain[c] - lift[c]
    return apply3(fromWorking, applyModel(model, [light(0), light(1), light(2)]))
  }
  return {
    exposure: log2(gain[1]),
    whiteBalance: {
      redOverGreen: gain[0] / gain[1],
      blueOverGreen: gain[2] / gain[1],
      mired: to.mired - from.mired,
      tint: 1000 * (to.duv - from.duv),
    },
    blackBalance: [100 * gain[0] * lift[0], 100 * gain[1] * lift[1], 100 * gain[2] * lift[2]],
    matrix: { rg: own[0][1], rb: own[0][2], gr: own[1][0], gb: own[1][2], br: own[2][0], bg: own[2][1] },
    primaries: bars75.map(({ name, code: [r, g, b] }) => {
      const bar: Vec3 = [bt709.decode(r, 0), bt709.decode(g, 1), bt709.decode(b, 2)]
      const before = scope(bar)
      const after = scope(through(bar))
      const turn = atan2(
        before.cb * after.cr - before.cr * after.cb,
        before.cb * after.cb + before.cr * after.cr,
      )
      return {
        name,
        hue: (turn * 180) / Math.PI,
        saturation: hypot(after.cb, after.cr) / hypot(before.cb, before.cr),
      }
    }),
  }
}

function xyOf([X, Y, Z]: Vec3): readonly [number, number] {
  const sum = X + Y + Z
  return [X / sum, Y / sum]
}

/** Where light of BT.709 stands on the vectorscope. */
const scope = (light: Vec3): YCbCr =>
  ycbcrOfCode([bt709.encode(light[0], 0), bt709.encode(light[1], 1), bt709.encode(light[2], 2)])
