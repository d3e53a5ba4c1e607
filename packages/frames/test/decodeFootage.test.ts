import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, it, vi } from 'vitest'
import { consumer } from '../../../test/support/consumer.ts'
import { decodeFootage, decodeFrame } from '../src/node.ts'

/** As long as the test may take. */
const forever = { timeout: 3_600_000, interval: 20 }
const folder = mkdtempSync(join(tmpdir(), 'footage-'))
afterAll(() => {
  rmSync(folder, { recursive: true })
})

const width = 64
const height = 16
const frames = 6

/** 10-bit Y′CbCr codes of a frame: four flat fields, brighter from frame to frame. One is above white. */
const fields = (n: number) =>
  [
    [64 + 10 * n, 512, 512],
    [400 + 10 * n, 600, 450],
    [700, 300 + 10 * n, 700],
    [1000, 512, 512],
  ] as const

/** Raw yuv422p10le frames. */
function rawVideo(): Buffer {
  const parts: Buffer[] = []
  for (let n = 0; n < frames; n++) {
    for (let plane = 0; plane < 3; plane++) {
      const w = plane === 0 ? width : width / 2
      const data = Buffer.alloc(2 * w * height)
      for (let y = 0; y < height; y++)
        for (let x = 0; x < w; x++)
          data.writeUInt16LE(fields(n)[Math.floor((4 * x) / w)]![plane]!, 2 * (y * w + x))
      parts.push(data)
    }
  }
  return Buffer.concat(parts)
}

const tool = consumer('ffmpeg')
const ffmpeg = (args: string[], input: Buffer) =>
  tool.run(['-hide_banner', '-y', '-loglevel', 'error', ...args], input)

const made = new Map<string, string>()

/** The frames with these tags, as a clip that nothing writes into: it is made once. */
function clip(tags: readonly string[]): string {
  const known = made.get(tags.join())
  if (known !== undefined) return known
  const path = join(folder, `${made.size}.mkv`)
  ffmpeg(
    [
      ...['-f', 'rawvideo', '-pix_fmt', 'yuv422p10le', '-s', `${width}x${height}`, '-r', '25'],
      ...[...tags, '-i', 'pipe:0', '-c:v', 'ffv1', path],
    ],
    rawVideo(),
  )
  made.set(tags.join(), path)
  return path
}

/** ITU-R BT.709-6, items 3.2 to 3.5, and BT.2020-2, table 4, from 10-bit narrow-range codes, in doubles. */
function levels(
  [y, cb, cr]: readonly [number, number, number],
  kr: number,
  kb: number,
): [number, number, number] {
  const luma = (y - 64) / 876
  const pb = (cb - 512) / 896
  const pr = (cr - 512) / 896
  const r = luma + 2 * (1 - kr) * pr
  const b = luma + 2 * (1 - kb) * pb
  return [r, (luma - kr * r - kb * b) / (1 - kr - kb), b]
}

/** Single precision, and a resampler's rounding: a hundredth of a 10-bit step. */
const tolerance = 1e-5

function expectFields(frame: { data: ArrayLike<number> }, n: number, kr: number, kb: number): void {
  fields(n).forEach((codes, k) => {
    const at = 3 * (8 * width + k * 16 + 8)
    levels(codes, kr, kb).forEach((level, c) => {
      expect(Math.abs(frame.data[at + c]! - level)).toBeLessThan(tolerance)
    })
  })
}

const bt709 = [
  '-colorspace',
  'bt709',
  '-color_range',
  'tv',
  '-color_primaries',
  'bt709',
  '-color_trc',
  'bt709',
]

tool.describe('decodeFootage of a movie', () => {
  it('turns tagged Y′CbCr into levels by its matrix, keeping what is above white', async () => {
    const [frame] = await decodeFootage(clip(bt709))
    expect([frame!.width, frame!.height, frame!.bits, frame!.warnings]).toEqual([width, height, 'float', []])
    expectFields(frame!, 0, 0.2126, 0.0722)
    expect(frame!.data[3 * (8 * width + 56)]).toBeGreaterThan(1.06)
  })

  it('goes by BT.2020 where the stream says so', async () => {
    const [frame] = await decodeFootage(clip(['-colorspace', 'bt2020nc', '-color_range', 'tv']))
    expectFields(frame!, 0, 0.2627, 0.0593)
  })

  it.each([
    ['yuv420p', 8],
    ['yuv422p10le', 10],
    ['yuv444p12le', 12],
  ])('knows how far the codes of %s are apart', async (format, bits) => {
    const path = join(folder, `${format}.mkv`)
    ffmpeg(
      [
        ...['-f', 'lavfi', '-i', 'color=gray:size=64x16', '-frames:v', '1', '-pix_fmt', format],
        ...['-color_range', 'tv', '-c:v', 'ffv1', path],
      ],
      Buffer.alloc(0),
    )
    const [frame] = await decodeFootage(path)
    // ITU-R BT.709-6, item 3.4, and BT.2100: 219 · 2^(n−8) codes from black to white.
    expect(frame!.step).toBe(1 / 219 / 2 ** (bits - 8))
  })

  it('takes the matrix for its size, with a warning, where the stream names none', async () => {
    const path = clip([])
    const [small] = await decodeFootage(path)
    expect(small!.warnings).toMatchObject([
      { code: 'matrix-assumed', message: expect.stringContaining('BT.601') },
      { code: 'range-assumed', message: expect.stringContaining('narrow') },
    ])
    expectFields(small!, 0, 0.299, 0.114)
    const [given] = await decodeFootage(path, { matrix: 'bt709', range: 'narrow' })
    expect(given!.warnings).toEqual([])
    expectFields(given!, 0, 0.2126, 0.0722)
  })

  it('finds a frame by number and by time, and several in a row', async () => {
    const path = clip(bt709)
    expectFields((await decodeFootage(path, { frame: 4 }))[0]!, 4, 0.2126, 0.0722)
    // Each frame is on screen for 1/25 s, the last one too.
    for (const [seconds, n] of [
      [0, 0],
      [0.03, 0],
      [2 / 25, 2],
      [0.11, 2],
      [5.9 / 25, 5],
    ] as const)
      expectFields((await decodeFootage(path, { seconds }))[0]!, n, 0.2126, 0.0722)
    const three = await decodeFootage(path, { frame: 3, count: 3 })
    three.forEach((frame, k) => {
      expectFields(frame, 3 + k, 0.2126, 0.0722)
    })
  })

  it('reads QuickTime, and the first frame of a movie as a frame', async () => {
    const path = join(folder, 'clip.mov')
    ffmpeg(
      [
        '-f',
        'rawvideo',
        '-pix_fmt',
        'yuv422p10le',
        '-s',
        `${width}x${height}`,
        '-r',
        '25',
        ...bt709,
        '-i',
        'pipe:0',
        '-c:v',
        'v210',
        '-movflags',
        'write_colr',
        path,
      ],
      rawVideo(),
    )
    const frame = await decodeFrame(path)
    expect(frame.file).toBe(path)
    expectFields(frame, 0, 0.2126, 0.0722)
  })

  it.each([
    ['transport.ts', '0'],
    ['avchd.mts', '1'],
  ])('reads the MPEG transport stream %s', async (name, times) => {
    const path = join(folder, name)
    const input = ['-f', 'lavfi', '-i', 'color=gray:size=64x64:rate=25', '-frames:v', '3']
    const tags = ['-colorspace', 'bt709', '-color_range', 'tv']
    ffmpeg(
      [...input, ...tags, '-c:v', 'libx264', '-qp', '0', '-mpegts_m2ts_mode', times, '-f', 'mpegts', path],
      Buffer.alloc(0),
    )
    const frame = await decodeFrame(path)
    expect(frame.warnings).toEqual([])
    // ffmpeg's gray is 128 of 255 in full range, 126 of narrow range: BT.709-6, item 3.4.
    const grey = (126 - 16) / 219
    expect(Math.abs(frame.data[0]! - grey)).toBeLessThan(1.01 / 219)
  })

  it.each([
    ['long.ts', '0'],
    ['long.mts', '1'],
  ])('finds the frame on screen between the key frames of %s', async (name, times) => {
    const path = join(folder, name)
    // Frame n is grey of code 16 + 3 · n; a key frame in twelve, others that lean on those after them.
    const input = ['-f', 'lavfi', '-i', "nullsrc=size=64x64:rate=25,geq=lum='16+3*N':cb=128:cr=128"]
    const coding = ['-c:v', 'libx264', '-qp', '0', '-g', '12', '-bf', '2', '-pix_fmt', 'yuv420p']
    const tags = ['-colorspace', 'bt709', '-color_range', 'tv']
    const muxing = ['-mpegts_m2ts_mode', times, '-f', 'mpegts']
    ffmpeg([...input, '-frames:v', '60', ...tags, ...coding, ...muxing, path], Buffer.alloc(0))
    const shown = async (seconds: number) => {
      const [frame] = await decodeFootage(path, { seconds })
      return Math.round((frame!.data[0]! * 219) / 3)
    }
    for (const [seconds, n] of [
      [0, 0],
      [0.28, 7],
      [0.3, 7],
      [1.6, 40],
      [2.36, 59],
    ] as const)
      expect(await shown(seconds), `${seconds} s`).toBe(n)
  })

  it('finds it further into a transport stream than it decodes before a place', async () => {
    const path = join(folder, 'far.ts')
    const input = ['-f', 'lavfi', '-i', "nullsrc=size=64x64:rate=5,geq=lum='16+3*N':cb=128:cr=128"]
    const coding = ['-c:v', 'libx264', '-qp', '0', '-g', '7', '-bf', '2', '-pix_fmt', 'yuv420p']
    const tags = ['-colorspace', 'bt709', '-color_range', 'tv']
    ffmpeg([...input, '-frames:v', '70', ...tags, ...coding, '-f', 'mpegts', path], Buffer.alloc(0))
    const [frame] = await decodeFootage(path, { seconds: 12.3 })
    expect(Math.round((frame!.data[0]! * 219) / 3)).toBe(61)
  })

  it.each(['a b;echo $(x) %04d.mkv', '-dash.mkv', "it's:one.mkv"])(
    'does not mind the name %s',
    async (name) => {
      const plain = clip(bt709)
      const path = join(folder, name)
      writeFileSync(path, readFileSync(plain))
      expectFields((await decodeFootage(path))[0]!, 0, 0.2126, 0.0722)
    },
  )

  it('says that there is no such frame', async () => {
    const path = clip(bt709)
    const unreadable = (message: RegExp) => ({
      code: 'frame-unreadable',
      message: expect.stringMatching(message),
      place: { file: path },
    })
    await expect(decodeFootage(path, { frame: 99 })).rejects.toMatchObject(unreadable(/no frame number 99/))
    await expect(decodeFootage(path, { seconds: 99 })).rejects.toMatchObject(unreadable(/no frame at 99 s/))
    await expect(decodeFootage(path, { frame: 4, count: 5 })).rejects.toMatchObject(
      unreadable(/2 frames where 5/),
    )
  })

  it.each([
    ['yuv420p', 63, 15, [62, 14]],
    ['yuv422p10le', 63, 16, [62, 16]],
    ['yuv444p', 63, 15, [63, 15]],
  ] as const)('reads %s of odd size, up to the last whole sample of chroma', async (format, w, h, size) => {
    const path = join(folder, `odd-${format}.mkv`)
    const wanted = [0x80, 0x40, 0x20]
    ffmpeg(
      [
        ...['-f', 'rawvideo', '-pix_fmt', 'rgb24', '-s', `${w}x${h}`, '-i', 'pipe:0', '-pix_fmt', format],
        ...['-color_range', 'tv', '-colorspace', 'smpte170m', '-c:v', 'ffv1', path],
      ],
      Buffer.from(Uint8Array.from({ length: 3 * w * h }, (_, k) => wanted[k % 3]!)),
    )
    const [frame] = await decodeFootage(path)
    expect([frame!.width, frame!.height]).toEqual(size)
    // The colour put in, within the steps of eight bits that it was written with.
    for (const at of [0, frame!.data.length - 3])
      for (const c of [0, 1, 2]) expect(Math.abs(255 * frame!.data[at + c]! - wanted[c]!)).toBeLessThan(2.5)
  })

  it('tells what else is in the clip: more tracks, alpha', async () => {
    const path = join(folder, 'two.mkv')
    const picture = ['-f', 'lavfi', '-i', 'color=gray:size=64x16']
    ffmpeg(
      [
        ...[...picture, ...picture, '-map', '0', '-map', '1', '-frames:v', '1', '-pix_fmt', 'yuva420p'],
        ...[...bt709, '-c:v', 'ffv1', path],
      ],
      Buffer.alloc(0),
    )
    const [frame] = await decodeFootage(path)
    expect(frame!.warnings.map(({ code }) => code)).toEqual(['first-track', 'alpha-dropped'])
  })

  it('ends with its signal, and the program with it', async () => {
    // A program that does not answer, in place of one that takes long.
    const slow = join(folder, 'slow')
    const pidFile = join(folder, 'slow.pid')
    writeFileSync(
      slow,
      `#!/bin/sh\necho $$ > '${pidFile}.part'\nmv '${pidFile}.part' '${pidFile}'\nexec sleep 3600\n`,
      {
        mode: 0o755,
      },
    )
    const path = clip(bt709)
    const abort = new AbortController()
    const decoded = decodeFootage(path, { ffmpeg: slow, signal: abort.signal })
    const ended = expect(decoded).rejects.toMatchObject({ name: 'AbortError' })
    await vi.waitUntil(() => existsSync(pidFile), forever)
    abort.abort()
    await ended
    const pid = Number(readFileSync(pidFile, 'utf8'))
    const runs = () => {
      try {
        return process.kill(pid, 0)
      } catch {
        return false
      }
    }
    await vi.waitUntil(() => !runs(), forever)
    expect(runs()).toBe(false)
  })

  it('refuses more frames than memory holds, before it decodes one', async () => {
    const path = join(folder, 'large.mkv')
    ffmpeg(
      ['-f', 'lavfi', '-i', 'color=gray:size=3840x2160', '-frames:v', '1', '-c:v', 'ffv1', path],
      Buffer.alloc(0),
    )
    // 12 bytes per pixel as floats: 99.5 MB per frame.
    await expect(decodeFootage(path, { count: 21 })).rejects.toMatchObject({
      code: 'frame-unreadable',
      message: expect.stringContaining('21 frames of 3840 × 2160 take 2.1 GB'),
    })
  })

  it('refuses what is no movie, and a playlist', async () => {
    const list = join(folder, 'list.mkv')
    writeFileSync(list, '#EXTM3U\n#EXTINF:1,\nhttp://192.0.2.1/clip.ts\n')
    await expect(decodeFootage(list)).rejects.toMatchObject({
      code: 'frame-unreadable',
      message: expect.stringContaining('no movie'),
    })
    await expect(decodeFootage(join(folder, 'none.mov'))).rejects.toMatchObject({ message: 'no such file' })
    await expect(decodeFootage(folder)).rejects.toMatchObject({
      message: 'a folder where a frame is expected',
    })
    const torn = join(folder, 'torn.mov')
    writeFileSync(torn, readFileSync(clip(bt709)).subarray(0, 300))
    await expect(decodeFootage(torn)).rejects.toMatchObject({ code: 'frame-unreadable' })
  })

  it('says which program is missing', async () => {
    const path = clip(bt709)
    await expect(decodeFootage(path, { ffprobe: 'no-such-ffprobe' })).rejects.toMatchObject({
      code: 'tool-missing',
      message: expect.stringContaining('no-such-ffprobe is not installed'),
      hint: expect.stringContaining('ffmpeg'),
    })
    await expect(decodeFootage(path, { ffmpeg: 'no-such-ffmpeg' })).rejects.toMatchObject({
      code: 'tool-missing',
    })
  })
})

/** A ramp in R, its reverse in G, a constant in B; as the planes G, B, R. */
function planes<T extends Uint16Array | Float32Array>(kind: new (length: number) => T, top: number): Buffer {
  const count = width * height
  const data = new kind(3 * count)
  for (let k = 0; k < count; k++) {
    data[k] = top - (k * top) / count
    data[count + k] = top / 4
    data[2 * count + k] = (k * top) / count
  }
  return Buffer.from(data.buffer)
}

tool.describe('decodeFootage of stills', () => {
  it('reads the codes of a 10-bit DPX bit for bit', async () => {
    const raw = planes(Uint16Array, 1023)
    const path = join(folder, 'day.dpx')
    ffmpeg(
      [
        '-f',
        'rawvideo',
        '-pix_fmt',
        'gbrp10le',
        '-s',
        `${width}x${height}`,
        '-i',
        'pipe:0',
        '-c:v',
        'dpx',
        '-pix_fmt',
        'gbrp10le',
        path,
      ],
      raw,
    )
    const frame = await decodeFrame(path)
    expect([frame.bits, frame.codeScale]).toEqual([10, 1023])
    const count = width * height
    for (const k of [0, 1, 500, count - 1]) {
      expect(frame.data[3 * k]).toBe(raw.readUInt16LE(2 * (2 * count + k)))
      expect(frame.data[3 * k + 1]).toBe(raw.readUInt16LE(2 * k))
      expect(frame.data[3 * k + 2]).toBe(raw.readUInt16LE(2 * (count + k)))
    }
    const [told] = await decodeFootage(path, { matrix: 'bt709' })
    expect(told!.warnings).toMatchObject([{ code: 'ycbcr-unused' }])
    expect(told!.data).toEqual(frame.data)
    const torn = join(folder, 'torn.dpx')
    writeFileSync(torn, readFileSync(path).subarray(0, 3000))
    await expect(decodeFrame(torn)).rejects.toMatchObject({ code: 'frame-unreadable' })
  })

  it('reads the levels of a float OpenEXR bit for bit, also above 1', async () => {
    const raw = planes(Float32Array, 4)
    const path = join(folder, 'day.exr')
    ffmpeg(
      [
        '-f',
        'rawvideo',
        '-pix_fmt',
        'gbrpf32le',
        '-s',
        `${width}x${height}`,
        '-i',
        'pipe:0',
        '-c:v',
        'exr',
        '-format',
        'float',
        '-compression',
        'zip16',
        path,
      ],
      raw,
    )
    const frame = await decodeFrame(path)
    const count = width * height
    expect(frame.bits).toBe('float')
    for (const k of [0, 1, 500, count - 1])
      expect(frame.data[3 * k]).toBe(raw.readFloatLE(4 * (2 * count + k)))
  })

  it('refuses an OpenEXR file cut off at any point, which its decoder does not notice', async () => {
    const whole = readFileSync(join(folder, 'day.exr'))
    for (const share of [0.02, 0.2, 0.5, 0.9, 0.999]) {
      const path = join(folder, 'torn.exr')
      writeFileSync(path, whole.subarray(0, Math.floor(share * whole.length)))
      await expect(decodeFrame(path)).rejects.toMatchObject({
        code: 'frame-unreadable',
        message: expect.stringMatching(/ends within|cut off|missing/),
      })
    }
  })
})
