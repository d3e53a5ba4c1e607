import {
  type Encoding,
  type LightModel,
  modelMap,
  type Primaries,
  primariesConversion,
  resolveEncoding,
} from '@isochip/core'
import { createFrame, type Frame, frameLight, screenCode } from '@isochip/frames'

const { primaries: screenPrimaries } = resolveEncoding('srgb')

/**
 * A recorded frame as a screen shows it, once a model: decoded, matched, sRGB with 8 bits. Light above the diffuse
 * white and colours outside BT.709 are cut off.
 */
export function screenFrames(
  frame: Frame,
  encoding: Encoding,
  models: readonly LightModel[],
  working: Primaries,
): Frame[] {
  const light = frameLight(frame, encoding)
  const toScreen = primariesConversion(working, screenPrimaries)
  const shown = new Float64Array(3)
  return models.map((model) => {
    const map = modelMap(model, toScreen)
    const data = new Uint8Array(light.length)
    for (let i = 0; i < data.length; i += 3) {
      map(light[i]!, light[i + 1]!, light[i + 2]!, shown)
      data[i] = screenCode(shown[0]!)
      data[i + 1] = screenCode(shown[1]!)
      data[i + 2] = screenCode(shown[2]!)
    }
    return createFrame(frame.width, frame.height, data, 8)
  })
}
