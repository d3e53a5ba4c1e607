import { createFrame, type Frame } from '../frame/frame.ts'
import { screenCode } from './screenCode.ts'

/**
 * An 8-bit picture to look at, no wider and no taller than `longest`: averaged over the pixels that each new pixel
 * covers.
 *
 * @param light whether the samples are light, which gets the curve of a screen; codes stay as they are
 */
export function displayFrame(frame: Frame, longest: number, light: boolean): Frame {
  const factor = Math.min(1, longest / Math.max(frame.width, frame.height))
  const width = Math.max(1, Math.round(frame.width * factor))
  const height = Math.max(1, Math.round(frame.height * factor))
  // Mostly there is nothing to average, since what is drawn on was made smaller before.
  const data = factor === 1 ? frame.data : averaged(frame, width, height)
  const out = new Uint8Array(data.length)
  if (light) for (let i = 0; i < out.length; i++) out[i] = screenCode(data[i]! / frame.codeScale)
  else if (data instanceof Uint16Array && frame.codeScale === 65535) narrow(data, out)
  else toBytes(data, 255 / frame.codeScale, out)
  return createFrame(width, height, out)
}

function averaged(frame: Frame, width: number, height: number): Float64Array {
  const out = new Float64Array(3 * width * height)
  for (let y = 0; y < height; y++) {
    const y0 = Math.floor((y * frame.height) / height)
    const y1 = Math.max(y0 + 1, Math.floor(((y + 1) * frame.height) / height))
    for (let x = 0; x < width; x++) {
      const x0 = Math.floor((x * frame.width) / width)
      const x1 = Math.max(x0 + 1, Math.floor(((x + 1) * frame.width) / width))
      for (let c = 0; c < 3; c++) {
        let sum = 0
        for (let sy = y0; sy < y1; sy++)
          for (let sx = x0; sx < x1; sx++) sum += frame.data[3 * (sy * frame.width + sx) + c]!
        out[3 * (y * width + x) + c] = sum / ((y1 - y0) * (x1 - x0))
      }
    }
  }
  return out
}

/** The nearest of 8 bits, black for what is no number: a typed array takes NaN for 0. */
function toBytes(data: Frame['data'] | Float64Array, scale: number, out: Uint8Array): void {
  for (let i = 0; i < out.length; i++) out[i] = Math.max(0, Math.min(255, data[i]! * scale + 0.5))
}

/** Of 16 bits the nearest of 8, in whole numbers: the same as v · 255 / 65535 rounded, for each of the 65536 codes. */
function narrow(data: Uint16Array, out: Uint8Array): void {
  for (let i = 0; i < out.length; i++) out[i] = (data[i]! * 255 + 32895) >> 16
}
