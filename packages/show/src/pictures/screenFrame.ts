import {
  apply3,
  applyModel,
  decodeRgb,
  type Encoding,
  type MatchModel,
  nominalFromFraction,
  type Primaries,
  primariesConversion,
  resolveEncoding,
  type Vec3,
} from '@isochip/core'
import { createFrame, type Frame } from '@isochip/frames'

const screen = resolveEncoding('srgb')

/**
 * A recorded frame as a screen shows it: decoded, matched, sRGB with 8 bits. Light above the diffuse white and
 * colours outside BT.709 are cut off.
 */
export function screenFrame(frame: Frame, encoding: Encoding, model: MatchModel, working: Primaries): Frame {
  const toScreen = primariesConversion(working, screen.primaries)
  const bits = frame.bits === 'float' ? 16 : frame.bits
  const range = frame.bits === 'float' ? 'full' : encoding.range
  const nominal = (sample: number) => nominalFromFraction(sample / frame.codeScale, range, bits)
  const code = (light: number) => {
    const value = screen.transfer.encode(light, 0)
    // Written so that NaN becomes black.
    return value > 0 ? Math.min(255, Math.round(255 * value)) : 0
  }
  const data = new Uint8Array(frame.data.length)
  for (let i = 0; i < data.length; i += 3) {
    const recorded: Vec3 = [nominal(frame.data[i]!), nominal(frame.data[i + 1]!), nominal(frame.data[i + 2]!)]
    const shown = apply3(toScreen, applyModel(model, decodeRgb(encoding, recorded)))
    data[i] = code(shown[0])
    data[i + 1] = code(shown[1])
    data[i + 2] = code(shown[2])
  }
  return createFrame(frame.width, frame.height, data, 8)
}
