import { createFrame, type Frame } from '../frame/frame.ts'

/**
 * An 8-bit picture to look at, no wider and no taller than `longest`: averaged over the pixels that each new pixel
 * covers, codes as they are. Float levels are taken as linear light and get the curve of IEC 61966-2-1.
 */
export function displayFrame(frame: Frame, longest: number): Frame {
  const factor = Math.min(1, longest / Math.max(frame.width, frame.height))
  const width = Math.max(1, Math.round(frame.width * factor))
  const height = Math.max(1, Math.round(frame.height * factor))
  const out = new Uint8Array(3 * width * height)
  const scale = 255 / frame.codeScale
  const linear = frame.bits === 'float'
  if (factor === 1 && !linear) {
    // Nothing to average: the usual case, since what is drawn on was made smaller before.
    if (frame.data instanceof Uint16Array && frame.codeScale === 65535) narrow(frame.data, out)
    else toBytes(frame.data, scale, out)
    return createFrame(width, height, out)
  }
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
        const mean = (sum / ((y1 - y0) * (x1 - x0))) * scale
        const code = linear ? 255 * displayCode(mean / 255) : mean
        out[3 * (y * width + x) + c] = Math.max(0, Math.min(255, Math.round(code)))
      }
    }
  }
  return createFrame(width, height, out)
}

function toBytes(data: Frame['data'], scale: number, out: Uint8Array): void {
  for (let i = 0; i < out.length; i++) out[i] = Math.min(255, data[i]! * scale + 0.5)
}

/** Of 16 bits the nearest of 8, in whole numbers: the same as v · 255 / 65535 rounded, for each of the 65536 codes. */
function narrow(data: Uint16Array, out: Uint8Array): void {
  for (let i = 0; i < out.length; i++) out[i] = (data[i]! * 255 + 32895) >> 16
}

const displayCode = (light: number) =>
  light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055
