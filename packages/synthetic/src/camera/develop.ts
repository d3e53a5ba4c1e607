import { apply3, type Encoding, exp2, type Mat3, resolveTransfer, type Vec3 } from '@isochip/core'
import type { Point } from '../picture/homography.ts'
import { meanLight, type Picture } from '../picture/picture.ts'
import { random } from '../random.ts'
import { coder } from './coder.ts'
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
  /** Added to each channel's signal, as a fraction of the nominal range; default none. */
  readonly pedestal?: Vec3
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
  const level = exp2(d.exposure)
  return ([x, y]) => level * (1 - d.vignette * scale * ((x - width / 2) ** 2 + (y - height / 2) ** 2))
}

const flareOf = (d: Development, picture: Picture): Vec3 => {
  const mean = meanLight(picture)
  const scale = d.flare * exp2(d.exposure)
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
  const transfer = resolveTransfer(d.encoding.spec.transfer)
  return (point, seen) => {
    const factor = factorAt(point)
    const sensor: Vec3 = [
      seen[0] * factor + flare[0],
      seen[1] * factor + flare[1],
      seen[2] * factor + flare[2],
    ]
    const [r, g, b] = apply3(d.matrix, sensor)
    const light: Vec3 = [r + d.black[0], g + d.black[1], b + d.black[2]]
    const [liftR, liftG, liftB] = d.pedestal ?? [0, 0, 0]
    return {
      light,
      code: [
        transfer.encode(light[0], 0) + liftR,
        transfer.encode(light[1], 1) + liftG,
        transfer.encode(light[2], 2) + liftB,
      ],
    }
  }
}

/** The frame that the camera records of a picture. The same input gives the same bytes. */
export function develop(picture: Picture, d: Development): RenderedFrame {
  const { width, height, data: seen } = picture
  const { bits, encoding, noise } = d
  const top = exp2(bits) - 1
  const data = bits === 8 ? new Uint8Array(seen.length) : new Uint16Array(seen.length)
  const coding = coder(encoding, bits, d.pedestal)
  const [codeRed, codeGreen, codeBlue] = [coding(0), coding(1), coding(2)]
  const { fill } = random(noise.seed)
  const drawn = new Int32Array(2 * width)
  const read = noise.read * noise.read
  const [shotR, shotG, shotB] = noise.gain.map((gain) => noise.shot * gain) as [number, number, number]
  const quiet = noise.shot === 0 && noise.read === 0
  const deviation = (light: number, rate: number) => Math.sqrt(light > 0 ? rate * light + read : read)
  const [[a, b, c], [e, f, g], [h, i, j]] = d.matrix
  const [blackR, blackG, blackB] = d.black
  const [flareR, flareG, flareB] = flareOf(d, picture)
  const level = exp2(d.exposure)
  const middleX = width / 2 - 0.5
  const fall = (level * d.vignette * 4) / (width * width + height * height)

  let at = 0
  for (let y = 0; y < height; y++) {
    const dy = (y + 0.5 - height / 2) ** 2
    if (!quiet) fill(drawn)
    for (let x = 0; x < width; x++) {
      const factor = level - fall * ((x - middleX) * (x - middleX) + dy)
      let red = seen[at]! * factor + flareR
      let green = seen[at + 1]! * factor + flareG
      let blue = seen[at + 2]! * factor + flareB
      if (!quiet) {
        const first = drawn[2 * x]!
        const second = drawn[2 * x + 1]!
        red += normals[first & 4095]! * deviation(red, shotR)
        green += normals[first >>> 20]! * deviation(green, shotG)
        blue += normals[second >>> 20]! * deviation(blue, shotB)
      }
      data[at] = codeRed(a * red + b * green + c * blue + blackR)
      data[at + 1] = codeGreen(e * red + f * green + g * blue + blackG)
      data[at + 2] = codeBlue(h * red + i * green + j * blue + blackB)
      at += 3
    }
  }
  return { width, height, data, bits, codeScale: top }
}
