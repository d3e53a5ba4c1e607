import { describe, expect, it } from 'vitest'
import { consumer } from '../../../test/support/consumer.ts'
import { layoutBytes, rgbLayout, unpackRgb } from '../src/node/footage/pixelFormat.ts'

const ffmpeg = consumer('ffmpeg')
const width = 16
const height = 5

/** Codes without a pattern that another order of samples or bytes would repeat. */
const codes = (bits: number) =>
  Uint16Array.from({ length: 3 * width * height }, (_, i) => (i * 40503 + 977) % 2 ** bits)

/** The picture as it goes to ffmpeg, in a format that needs no look at `unpackRgb`. */
function given(bits: number): { name: string; raw: Buffer } {
  const samples = codes(bits)
  if (bits === 8) return { name: 'rgb24', raw: Buffer.from(Uint8Array.from(samples)) }
  if (bits === 16) return { name: 'rgb48le', raw: Buffer.from(samples.buffer) }
  // No packed format has the other depths: the planes, green first.
  const planes = [1, 2, 0].flatMap((c) => [...samples].filter((_, i) => i % 3 === c))
  return { name: `gbrp${bits}le`, raw: Buffer.from(Uint16Array.from(planes).buffer) }
}

const bothOrders = (names: readonly string[]) => names.flatMap((name) => [`${name}le`, `${name}be`])

// The names and what they stand for are ffmpeg's own. It converts among these without loss.
ffmpeg.describe('unpackRgb, against ffmpeg', () => {
  it.each([
    [8, ['rgb24', 'bgr24', 'rgba', 'bgra', 'gbrp', 'gbrap']],
    [10, bothOrders(['gbrp10', 'gbrap10'])],
    [12, bothOrders(['gbrp12'])],
    [16, bothOrders(['rgb48', 'bgr48', 'rgba64', 'bgra64', 'gbrp16', 'gbrap16'])],
  ] as const)('finds the codes of a picture of %i bits', (bits, names) => {
    const from = given(bits)
    for (const name of names) {
      const raw = ffmpeg.run(
        [
          ...['-hide_banner', '-loglevel', 'error', '-f', 'rawvideo', '-s', `${width}x${height}`],
          ...['-pix_fmt', from.name, '-i', 'pipe:0', '-f', 'rawvideo', '-pix_fmt', name, 'pipe:1'],
        ],
        from.raw,
      )
      const pixels = rgbLayout(name)!
      expect([name, pixels.bits, raw.length]).toEqual([name, bits, layoutBytes(pixels, width, height)])
      expect([name, ...unpackRgb(raw, pixels, width, height)]).toEqual([name, ...codes(bits)])
    }
  })
})

describe('unpackRgb', () => {
  it('finds samples at an odd place in memory too', () => {
    const shifted = Buffer.concat([Buffer.alloc(1), Buffer.from(codes(16).buffer)]).subarray(1)
    expect([...unpackRgb(shifted, rgbLayout('rgb48le')!, width, height)]).toEqual([...codes(16)])
  })
})
