import { open } from 'node:fs/promises'
import { resolve } from 'node:path'
import { given, type PrimariesName, type Range, type TransferName } from '@isochip/core'
import { runTool } from '../runTool.ts'
import { fileFormat } from '../sniffFormat.ts'

/** What a file says of its own encoding. Cameras are known to write tags that are not so: propose, do not trust. */
export interface ColourTags {
  readonly transfer: TransferName | { readonly power: number }
  readonly primaries?: PrimariesName
  readonly range: Range
  /** Where it stands in the file, for people. */
  readonly source: string
}

/** Code points of ITU-T H.273, table 3, with ffprobe's names. 14 and 15 are BT.2020 in 10 and 12 bits. */
const transfers: Record<string, ColourTags['transfer']> = {
  1: 'bt709',
  6: 'bt709',
  14: 'bt2020',
  15: 'bt2020',
  8: 'linear',
  13: 'srgb',
  16: 'pq',
  18: 'hlg',
  bt709: 'bt709',
  smpte170m: 'bt709',
  'bt2020-10': 'bt2020',
  'bt2020-12': 'bt2020',
  linear: 'linear',
  'iec61966-2-1': 'srgb',
  smpte2084: 'pq',
  'arib-std-b67': 'hlg',
}

/** Code points of ITU-T H.273, table 2, with ffprobe's names. */
const gamuts: Record<string, PrimariesName> = {
  1: 'bt709',
  9: 'bt2020',
  12: 'p3-d65',
  bt709: 'bt709',
  bt2020: 'bt2020',
  smpte432: 'p3-d65',
}

/**
 * The encoding that the tags of a PNG or a movie name: `cICP`, `sRGB` or `gAMA` of the one, in this order as the PNG
 * specification has it; transfer, primaries and range of the other, by the system's ffprobe.
 *
 * @returns undefined where there is no tag, one that none of our encodings answers to, or no ffprobe
 */
export async function colourTags(path: string, signal?: AbortSignal): Promise<ColourTags | undefined> {
  const format = await fileFormat(path).catch(() => undefined)
  if (format === 'png') return pngTags(await readStart(path))
  return format === 'movie' ? movieTags(path, signal) : undefined
}

/** What comes before the picture in a PNG: chunks of length, type, data and checksum (PNG specification, section 5). */
async function readStart(path: string): Promise<Buffer> {
  const handle = await open(path)
  try {
    const bytes = Buffer.alloc(1 << 16)
    const { bytesRead } = await handle.read(bytes, 0, bytes.length, 0)
    return bytes.subarray(0, bytesRead)
  } finally {
    await handle.close()
  }
}

function pngTags(bytes: Buffer): ColourTags | undefined {
  const chunks = new Map<string, Buffer>()
  for (let at = 8; at + 12 <= bytes.length; ) {
    const length = bytes.readUInt32BE(at)
    const type = bytes.toString('latin1', at + 4, at + 8)
    if (type === 'IDAT') break
    chunks.set(type, bytes.subarray(at + 8, at + 8 + length))
    at += 12 + length
  }
  const cicp = chunks.get('cICP')
  if (cicp !== undefined && cicp.length === 4) {
    const [primaries, transfer, , full] = cicp
    return named(transfer!, primaries!, full === 1 ? 'full' : 'narrow', 'cICP of the PNG')
  }
  // An ICC profile goes before what follows, and is not read here.
  if (chunks.has('iCCP')) return undefined
  if (chunks.has('sRGB'))
    return { transfer: 'srgb', primaries: 'bt709', range: 'full', source: 'sRGB of the PNG' }
  const gama = chunks.get('gAMA')
  if (gama === undefined || gama.length !== 4) return undefined
  // The exponent of the encoding, times 100000.
  const exponent = gama.readUInt32BE(0) / 100_000
  if (!(exponent > 0.2 && exponent <= 1)) return undefined
  const transfer = exponent === 1 ? 'linear' : { power: Number((1 / exponent).toFixed(2)) }
  return { transfer, range: 'full', source: 'gAMA of the PNG' }
}

async function movieTags(path: string, signal: AbortSignal | undefined): Promise<ColourTags | undefined> {
  const entries = 'stream=color_transfer,color_primaries,color_range,pix_fmt'
  try {
    const { status, stdout } = await runTool(
      'ffprobe',
      [
        ...['-hide_banner', '-loglevel', 'error', '-select_streams', 'v:0', '-show_entries', entries],
        ...['-of', 'json', '-protocol_whitelist', 'file,pipe', '-i', `file:${resolve(path)}`],
      ],
      { file: path, limit: 1e6, ...given({ signal }) },
    )
    if (status !== 0) return undefined
    const { streams = [] } = JSON.parse(stdout.toString()) as { streams?: Record<string, string>[] }
    const { color_transfer = '', color_primaries = '', color_range, pix_fmt = '' } = streams[0] ?? {}
    // Decoding Y′CbCr takes its range out; R′G′B′ keeps its codes.
    const rgb = /^(gbr|rgb|bgr|argb|abgr)/.test(pix_fmt)
    const range = rgb && color_range === 'tv' ? 'narrow' : 'full'
    return named(color_transfer, color_primaries, range, 'tags of the clip')
  } catch (cause) {
    if (signal?.aborted) throw cause
    return undefined
  }
}

function named(
  transfer: string | number,
  primaries: string | number,
  range: Range,
  source: string,
): ColourTags | undefined {
  const curve = transfers[transfer]
  const gamut = gamuts[primaries]
  if (curve === undefined) return undefined
  return { transfer: curve, ...given({ primaries: gamut }), range, source }
}
