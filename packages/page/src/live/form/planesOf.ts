import type { Planes, Samples } from './planes.ts'

/** How pixels of each format share their colour differences. */
const layouts: Readonly<Record<string, readonly [across: number, down: number]>> = {
  I420: [2, 2],
  I422: [2, 1],
  I444: [1, 1],
  NV12: [2, 2],
}

/**
 * What a frame holds, before the browser makes colours of it: its idea of matrix and range is a guess. Only of a frame
 * that it does not hand out as it is, R′G′B′ as the browser shows it. The frame stays open.
 */
export async function planesOf(frame: VideoFrame): Promise<Planes> {
  const { format } = frame
  const [, name = '', depth = '8'] = /^(I4\d\d|NV12)A?(?:P(\d+))?$/.exec(format ?? '') ?? []
  const layout = layouts[name]
  if (layout === undefined) return await shownPlanes(frame)
  const bits = Number(depth)
  const { width, height } = frame.visibleRect!
  const bytes = new Uint8Array(frame.allocationSize())
  const places = await frame.copyTo(bytes)
  const size = bits === 8 ? 1 : 2
  const [across, down] = layout
  const columns = Math.ceil(width / across)
  const rows = Math.ceil(height / down)
  const plane = (index: number, w: number, h: number, step = 1, first = 0): Samples => {
    const { offset, stride } = places[index]!
    if (step === 1 && stride === w * size)
      return bits === 8
        ? bytes.subarray(offset, offset + w * h)
        : new Uint16Array(bytes.buffer, offset, w * h)
    const from = bits === 8 ? bytes : new Uint16Array(bytes.buffer)
    const out = bits === 8 ? new Uint8Array(w * h) : new Uint16Array(w * h)
    for (let y = 0; y < h; y++) {
      const at = (offset + y * stride) / size + first
      for (let x = 0; x < w; x++) out[y * w + x] = from[at + x * step]!
    }
    return out
  }
  const chroma: readonly [Samples, Samples] =
    name === 'NV12'
      ? [plane(1, columns, rows, 2, 0), plane(1, columns, rows, 2, 1)]
      : [plane(1, columns, rows), plane(2, columns, rows)]
  return { kind: 'ycbcr', width, height, bits, samples: [plane(0, width, height), ...chroma], across, down }
}

async function shownPlanes(frame: VideoFrame): Promise<Planes> {
  const { width, height } = frame.visibleRect ?? { width: frame.displayWidth, height: frame.displayHeight }
  const { data, order } = await interleaved(frame, width, height)
  const count = width * height
  const samples: [Uint8Array, Uint8Array, Uint8Array] = [
    new Uint8Array(count),
    new Uint8Array(count),
    new Uint8Array(count),
  ]
  for (let c = 0; c < 3; c++) {
    const to = samples[c]!
    for (let i = 0, at = order[c]!; i < count; i++, at += 4) to[i] = data[at]!
  }
  return { kind: 'rgb', width, height, bits: 8, samples, across: 1, down: 1 }
}

async function interleaved(frame: VideoFrame, width: number, height: number) {
  if (/^(RGB|BGR)[AX]$/.test(frame.format ?? '')) {
    const data = new Uint8Array(frame.allocationSize())
    await frame.copyTo(data)
    return { data, order: frame.format!.startsWith('R') ? [0, 1, 2] : [2, 1, 0] }
  }
  const context = new OffscreenCanvas(width, height).getContext('2d', { willReadFrequently: true })!
  context.drawImage(frame, 0, 0, width, height)
  return { data: context.getImageData(0, 0, width, height).data, order: [0, 1, 2] }
}
