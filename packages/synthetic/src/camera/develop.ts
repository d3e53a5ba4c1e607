import { apply3, type Encoding, fractionFromNominal, type Mat3, type Vec3 } from '@isochip/core'
import type { Point } from '../picture/homography.ts'
import { meanLight, type Picture } from '../picture/picture.ts'
import { random } from '../random.ts'
import { normals } from './noise.ts'

/** What happens between the light in front of the lens and the code values in the file. */
export interface Development {
  /** Stops; 0 brings a perfect diffuser to linear 1. */
  readonly exposure: number
  /** Light lost in the corners of the frame, 0…1; it grows with the square of the distance from the middle. */
  readonly vignette: number
  /** Veiling glare: share of the picture's mean light that is spread evenly over it. */
  readonly flare: number
  /** Variance of a pixel = shot · gain · light + read², per channel; `gain` is the white balance's. 0 is no noise. */
  readonly noise: { readonly shot: number; readonly read: number; readonly gain: Vec3; readonly seed: number }
  /** White-balanced sensor RGB → linear RGB in the primaries of the encoding, errors of the camera included. */
  readonly matrix: Mat3
  /** Light that a wrong black balance adds, per channel. */
  readonly black: Vec3
  readonly encoding: Encoding
  readonly bits: 8 | 16
}

/** Code values, interleaved R, G, B from the top left; the same shape as a decoded frame. */
export interface RenderedFrame {
  readonly width: number
  readonly height: number
  readonly data: Uint8Array | Uint16Array
  readonly bits: 8 | 16
  /** The code that stands for the fraction 1. */
  readonly codeScale: number
}

/** Factor on the light at a point of the frame. */
function lightFactor(d: Development, width: number, height: number): (point: Point) => number {
  const scale = 4 / (width * width + height * height)
  const level = 2 ** d.exposure
  return ([x, y]) => level * (1 - d.vignette * scale * ((x - width / 2) ** 2 + (y - height / 2) ** 2))
}

const flareOf = (d: Development, picture: Picture): Vec3 => {
  const mean = meanLight(picture)
  const scale = d.flare * 2 ** d.exposure
  return [mean[0] * scale, mean[1] * scale, mean[2] * scale]
}

/**
 * What the camera makes of the light `seen` at a point of the picture, without noise, not rounded, not clipped: linear
 * light in the encoding's primaries, and nominal code values.
 */
export function developPoint(
  picture: Picture,
  d: Development,
): (point: Point, seen: Vec3) => { readonly light: Vec3; readonly code: Vec3 } {
  const factorAt = lightFactor(d, picture.width, picture.height)
  const flare = flareOf(d, picture)
  const { transfer } = d.encoding
  return (point, seen) => {
    const factor = factorAt(point)
    const sensor: Vec3 = [
      seen[0] * factor + flare[0],
      seen[1] * factor + flare[1],
      seen[2] * factor + flare[2],
    ]
    const [r, g, b] = apply3(d.matrix, sensor)
    const light: Vec3 = [r + d.black[0], g + d.black[1], b + d.black[2]]
    return {
      light,
      code: [transfer.encode(light[0], 0), transfer.encode(light[1], 1), transfer.encode(light[2], 2)],
    }
  }
}

const nodes = 65536
/** Below it light is encoded one by one: some curves start with an infinite slope. */
const foot = 0.01

/** Codes over the square root of light. */
function codeTable(d: Development, channel: 0 | 1 | 2, peak: number): Float32Array {
  const { encoding, bits } = d
  const top = 2 ** bits - 1
  const reach = Math.sqrt(peak)
  const table = new Float32Array(nodes + 2)
  for (let i = 0; i < table.length; i++) {
    const light = ((i / nodes) * reach) ** 2
    table[i] = fractionFromNominal(encoding.transfer.encode(light, channel), encoding.range, bits) * top + 0.5
  }
  return table
}

/** The frame that the camera records of a picture. The same input gives the same bytes. */
export function develop(picture: Picture, d: Development): RenderedFrame {
  const { width, height, data: seen } = picture
  const { bits, encoding, noise } = d
  const top = 2 ** bits - 1
  const data = bits === 8 ? new Uint8Array(seen.length) : new Uint16Array(seen.length)
  const { transfer } = encoding
  const peak = Math.min(
    Math.max(transfer.decode(1, 0), transfer.decode(1, 1), transfer.decode(1, 2)) * 1.3,
    1e4,
  )
  const tables = [codeTable(d, 0, peak), codeTable(d, 1, peak), codeTable(d, 2, peak)] as const
  const perRoot = nodes / Math.sqrt(peak)
  const code = (light: number, channel: 0 | 1 | 2): number => {
    if (light < foot) {
      const nominal = transfer.encode(light, channel)
      return Math.max(fractionFromNominal(nominal, encoding.range, bits) * top + 0.5, 0)
    }
    const at = Math.min(Math.sqrt(light) * perRoot, nodes)
    const left = at | 0
    const table = tables[channel]
    const value = table[left]! + (at - left) * (table[left + 1]! - table[left]!)
    return Math.min(Math.max(value, 0), top)
  }

  const { bits: draw } = random(noise.seed)
  const read = noise.read * noise.read
  const shot = [noise.shot * noise.gain[0], noise.shot * noise.gain[1], noise.shot * noise.gain[2]] as const
  const quiet = noise.shot === 0 && noise.read === 0
  const deviation = (light: number, rate: number) => Math.sqrt(rate * Math.max(light, 0) + read)
  const [[a, b, c], [e, f, g], [h, i, j]] = d.matrix
  const [blackR, blackG, blackB] = d.black
  const [flareR, flareG, flareB] = flareOf(d, picture)
  const level = 2 ** d.exposure
  const fall = (level * d.vignette * 4) / (width * width + height * height)

  let at = 0
  for (let y = 0; y < height; y++) {
    const dy = (y + 0.5 - height / 2) ** 2
    for (let x = 0; x < width; x++) {
      const factor = level - fall * ((x + 0.5 - width / 2) ** 2 + dy)
      let red = seen[at]! * factor + flareR
      let green = seen[at + 1]! * factor + flareG
      let blue = seen[at + 2]! * factor + flareB
      if (!quiet) {
        const first = draw()
        const second = draw()
        red += normals[first & 4095]! * deviation(red, shot[0])
        green += normals[first >>> 20]! * deviation(green, shot[1])
        blue += normals[second >>> 20]! * deviation(blue, shot[2])
      }
      data[at] = code(a * red + b * green + c * blue + blackR, 0)
      data[at + 1] = code(e * red + f * green + g * blue + blackG, 1)
      data[at + 2] = code(h * red + i * green + j * blue + blackB, 2)
      at += 3
    }
  }
  return { width, height, data, bits, codeScale: top }
}
