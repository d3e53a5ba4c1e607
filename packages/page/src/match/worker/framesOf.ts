import { createFrame, type DecodedFrame } from '@isochip/frames'
import type { ShotSource } from '../messages.ts'
import { decodeFile } from './decodeFile.ts'

/** The frames of a shot: stills as their files have them, or the levels of a running input. @throws IsochipError `frame-unreadable` */
export async function framesOf(source: ShotSource): Promise<readonly DecodedFrame[]> {
  if ('files' in source) return await Promise.all(source.files.map(decodeFile))
  const { width, height, levels, clip, step } = source.grab
  const data = new Float32Array(await levels.arrayBuffer())
  return [{ ...createFrame(width, height, data), clip, step, warnings: [] }]
}
