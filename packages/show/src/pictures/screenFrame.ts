import {
  type Encoding,
  type MatchModel,
  modelMap,
  nominalFromFraction,
  type Primaries,
  primariesConversion,
  resolveEncoding,
} from '@isochip/core'
import { createFrame, type Frame } from '@isochip/frames'

const screen = resolveEncoding('srgb')

/** Light from which on the next of the 8-bit codes of the screen is the nearer one. */
const steps = Float64Array.from({ length: 255 }, (_, k) => screen.transfer.decode((k + 0.5) / 255, 0))

/** The nearest 8-bit code; black for what is no number. */
function screenCode(light: number): number {
  let low = 0
  let high = 255
  while (low < high) {
    const middle = (low + high) >> 1
    if (light >= steps[middle]!) low = middle + 1
    else high = middle
  }
  return low
}

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
  const map = modelMap(model, primariesConversion(working, screen.primaries))
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
