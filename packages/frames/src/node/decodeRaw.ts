import { resolve } from 'node:path'
import { given, IsochipError, type Warning } from '@isochip/core'
import { createFrame, type DecodedFrame } from '../frame/frame.ts'
import { regularFile } from './regularFile.ts'
import { runTool } from './runTool.ts'

export interface RawOptions {
  /** Programs of LibRaw. Default `dcraw_emu` and `raw-identify` from the PATH. */
  readonly develop?: string
  readonly identify?: string
  /** Ends the programs; what is thrown is the signal's own error. */
  readonly signal?: AbortSignal
}

const maxPixels = 16384 * 8640
const install =
  'install LibRaw’s programs (Debian and Ubuntu: apt install libraw-bin) and see that dcraw_emu and raw-identify are on the PATH, or develop the file to a linear 16-bit TIFF without any look'

/**
 * What LibRaw is asked for: the sensor's own samples, from the black to the white level that the file states, as 16-bit
 * numbers in proportion to light. No white balance (factors of 1), no matrix, nothing brightened; the white level is the
 * file's and not the brightest pixel's; neither turned nor stretched. Half size: the samples of each cell of the filter
 * make one pixel, and none is made up between them.
 */
const asRecorded = [
  ...['-4', '-o', '0', '-r', '1', '1', '1', '1', '-M', '-c', '0', '-H', '0'],
  ...['-h', '-j', '-t', '0', '-Z', '-'],
]

/**
 * A camera raw file through the programs of the system's LibRaw: light as the sensor's channels see it, 0 at its black
 * level and the top code at its white level. Half as wide and high as the sensor has its samples; all of them where each
 * pixel has three. The preview in the file is never looked at. Only local files are opened.
 *
 * @throws IsochipError `tool-missing` without LibRaw; `frame-unreadable`: no such file, a raw file that LibRaw does not
 *   know, damaged, too large, or of a sensor with other than one or three colours
 */
export async function decodeRaw(path: string, options: RawOptions = {}): Promise<DecodedFrame> {
  const { develop = 'dcraw_emu', identify = 'raw-identify', signal } = options
  const fault = (message: string, hint: string) =>
    new IsochipError('frame-unreadable', message, { hint, place: { file: path } })
  await regularFile(path, fault)
  const common = { file: path, install, ...given({ signal }) }
  const source = resolve(path)
  const about = (await runTool(identify, ['-v', source], { ...common, limit: 1e6 })).stdout.toString('latin1')
  const size = /^Image size:\s*(\d+) x (\d+)/m.exec(about)
  if (size === null)
    throw fault(
      'a camera raw file of a kind that LibRaw does not know; its preview is not the frame and was not read',
      'develop it to a linear 16-bit TIFF without any look, convert it to DNG, or install a newer LibRaw',
    )
  const pixels = Number(size[1]) * Number(size[2])
  if (pixels > maxPixels) throw fault(`the frame has over ${maxPixels} pixels`, 'crop it')
  const { stdout, stderr } = await runTool(develop, [...asRecorded, source], {
    ...common,
    limit: headerBytes + 6 * pixels,
  })
  const start = stdout.toString('latin1', 0, headerBytes)
  if (start.startsWith('P7'))
    throw fault(
      'the sensor’s filter has more than three colours',
      'develop the file to a linear 16-bit TIFF without any look',
    )
  const header = /^P([56])\s+(\d+)\s+(\d+)\s+(\d+)\n/.exec(start)
  const [width, height, top] = [header?.[2], header?.[3], header?.[4]].map(Number)
  const channels = header?.[1] === '6' ? 3 : 1
  // A damaged file is told of on the side, and given all the same.
  if (
    stderr !== '' ||
    header === null ||
    stdout.length !== header[0].length + 2 * channels * width! * height!
  )
    throw fault(
      `LibRaw cannot read all of it${stderr === '' ? '' : `: ${ownWords(stderr, source)}`}`,
      'copy it again; the transfer may have been cut off',
    )
  if (top !== 65535)
    throw fault('LibRaw gives no 16-bit samples of it', 'develop it to a linear 16-bit TIFF without any look')
  const data = new Uint16Array(3 * width! * height!)
  const samples = stdout.subarray(header[0].length)
  for (let i = 0; i < data.length; i++) {
    const at = channels === 3 ? 2 * i : 2 * Math.floor(i / 3)
    data[i] = 256 * samples[at]! + samples[at + 1]!
  }
  const place = { file: path }
  const warnings: Warning[] = []
  if (Number(/^Image flip:\s*(\d+)/m.exec(about)?.[1] ?? 0) !== 0)
    warnings.push({
      code: 'orientation-kept',
      message: 'the file asks to be turned on display; pixels and corners are taken as stored',
      place,
    })
  const count = Number(/^Number of raw images:\s*(\d+)/m.exec(about)?.[1] ?? 1)
  if (count > 1)
    warnings.push({
      code: 'first-page',
      message: `the file holds ${count} pictures; the first was read`,
      place,
    })
  return { ...createFrame(width!, height!, data, 16, path), linear: true, warnings }
}

/** Of the line before the picture; three numbers. */
const headerBytes = 64

const ownWords = (stderr: string, path: string) =>
  (stderr.split('\n')[0] ?? '')
    .replaceAll(path, '')
    .replace(/^[\s:]+/, '')
    .slice(0, 200)
