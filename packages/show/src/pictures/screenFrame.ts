import {
  type Encoding,
  type MatchModel,
  modelMap,
  nominalFromFraction,
  type Primaries,
  primariesConversion,
  resolveEncoding,
} from '@isochip/core'
import { createFrame, type Frame, screenCode } from '@isochip/frames'

const { primaries: screenPrimaries } = resolveEncoding('srgb')

/** Light of a sample of a frame: where samples are whole numbers, each value of a channel is decoded once. */
function decoder(frame: Frame, encoding: Encoding): (at: number, channel: 0 | 1 | 2) => number {
  const bits = frame.bits === 'float' ? 16 : frame.bits
  const range = frame.bits === 'float' ? 'full' : encoding.range
  const { data, codeScale } = frame
  const decode = (sample: number, channel: 0 | 1 | 2) =>
    encoding.transfer.decode(nominalFromFraction(sample / codeScale, range, bits), channel)
  if (frame.bits === 'float') return (at, channel) => decode(data[at + channel]!, channel)
  const size = codeScale + 1
  const known = new Float64Array(3 * size).fill(Number.NaN)
  return (at, channel) => {
    const sample = data[at + channel]!
    const slot = channel * size + sample
    const before = known[slot]!
    if (!Number.isNaN(before)) return before
    const value = decode(sample, channel)
    known[slot] = value
    return value
  }
}

/**
 * A recorded frame as a screen shows it: decoded, matched, sRGB with 8 bits. Light above the diffuse white and
 * colours outside BT.709 are cut off.
 */
export function screenFrame(frame: Frame, encoding: Encoding, model: MatchModel, working: Primaries): Frame {
  const light = decoder(frame, encoding)
  const map = modelMap(model, primariesConversion(working, screenPrimaries))
  const shown = new Float64Array(3)
  const data = new Uint8Array(frame.data.length)
  for (let i = 0; i < data.length; i += 3) {
    map(light(i, 0), light(i, 1), light(i, 2), shown)
    data[i] = screenCode(shown[0]!)
    data[i + 1] = screenCode(shown[1]!)
    data[i + 2] = screenCode(shown[2]!)
  }
  return createFrame(frame.width, frame.height, data, 8)
}
