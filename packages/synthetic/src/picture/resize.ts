import type { Picture } from './picture.ts'

/** Where each output sample falls between two input samples. */
function taps(from: number, to: number): { left: Int32Array; part: Float32Array } {
  const left = new Int32Array(to)
  const part = new Float32Array(to)
  for (let i = 0; i < to; i++) {
    const at = Math.min(Math.max(((i + 0.5) * from) / to - 0.5, 0), from - 1)
    left[i] = Math.min(Math.floor(at), Math.max(from - 2, 0))
    part[i] = at - left[i]!
  }
  return { left, part }
}

/** The same view at another size, bilinear; edges are held. Meant for enlarging what is out of focus anyway. */
export function resize(source: Picture, width: number, height: number): Picture {
  if (source.width === width && source.height === height) {
    return { width, height, data: source.data.slice() }
  }
  const across = taps(source.width, width)
  const down = taps(source.height, height)
  const stride = source.width * 3
  const right = source.width > 1 ? 3 : 0
  const data = new Float32Array(width * height * 3)
  const row = new Float32Array(stride)
  for (let y = 0; y < height; y++) {
    const top = down.left[y]! * stride
    const below = source.height > 1 ? top + stride : top
    const fraction = down.part[y]!
    for (let i = 0; i < stride; i++) {
      const upper = source.data[top + i]!
      row[i] = upper + fraction * (source.data[below + i]! - upper)
    }
    let at = y * width * 3
    for (let x = 0; x < width; x++) {
      const from = across.left[x]! * 3
      const part = across.part[x]!
      for (let c = 0; c < 3; c++) {
        const a = row[from + c]!
        data[at++] = a + part * (row[from + right + c]! - a)
      }
    }
  }
  return { width, height, data }
}
