import { lstat, open } from 'node:fs/promises'
import { crc32 } from 'node:zlib'

/**
 * Every file that isochip writes says so near its beginning; only such files are replaced without being asked to.
 * One mark a kind of file, so that a file that merely mentions isochip is still the user's.
 */
const marks: readonly (readonly [ending: RegExp, mark: RegExp])[] = [
  [/\.cube$/, /^# Written by isochip /m],
  [/checksums\.sha256$/, /^# Written by isochip /],
  [/\.clf$/, /Written by isochip /],
  [/\.(?:cdl|cc)$/, /<Description>Written by isochip /],
  [/config\.ocio$/, /^# Written by isochip /],
  [/\.match\.json$/, /^\s*\{\s*"isochip": "match\/\d+"/],
  [/report\.json$/, /^\s*\{\s*"isochip": "report\/\d+"/],
  [/lineup\.json$/, /^\s*\{\s*"isochip": "lineup\/\d+"/],
  [/studio\.json$/, /^\s*\{\s*"isochip": "studio\/\d+"/],
  [/compare\.json$/, /^\s*\{\s*"isochip": "compare\/\d+"/],
  [/\.html$/, /<meta name="generator" content="isochip/],
  [/residuals\.csv$/, /^setup,camera,patch,dE00_before,dE00_after,/],
  [/compare\.csv$/, /^setup,from,to,patches,rank,condition,/],
  [/\.png$/, /tEXtSoftware\0isochip/],
]

const headBytes = 8192

/** Did isochip write this file? `undefined` where there is no file. A folder, a link, a pipe is never ours. */
export async function isOurs(path: string): Promise<boolean | undefined> {
  try {
    if (!(await lstat(path)).isFile()) return false
  } catch (cause) {
    const { code } = cause as NodeJS.ErrnoException
    return code === 'ENOENT' || code === 'ENOTDIR' ? undefined : false
  }
  const file = await open(path, 'r').catch(() => undefined)
  if (file === undefined) return false
  try {
    const { buffer, bytesRead } = await file.read(Buffer.alloc(headBytes), 0, headBytes, 0)
    const head = buffer.subarray(0, bytesRead).toString('latin1')
    return marks.some(([ending, mark]) => ending.test(path) && mark.test(head))
  } finally {
    await file.close()
  }
}

/**
 * A PNG that says isochip wrote it: a tEXt chunk (PNG specification, third edition, 11.3.3.2) after the header
 * chunk, whose keyword “Software” is the registered one.
 */
export function markPng(png: Uint8Array): Uint8Array {
  // Signature of 8 bytes, then IHDR: length, type, 13 bytes, checksum.
  const at = 8 + 4 + 4 + 13 + 4
  const body = Buffer.from('tEXtSoftware\0isochip', 'latin1')
  const chunk = Buffer.alloc(body.length + 8)
  chunk.writeUInt32BE(body.length - 4, 0)
  body.copy(chunk, 4)
  chunk.writeUInt32BE(crc32(body) >>> 0, 4 + body.length)
  return Buffer.concat([png.subarray(0, at), chunk, png.subarray(at)])
}

/** A page that says isochip wrote it, in the place that HTML has for that. */
export function markHtml(html: string, version: string): string {
  return html.replace(/<head>/, `<head><meta name="generator" content="isochip ${version}">`)
}
