import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { createFrame } from '@isochip/frames'
import { encodeFrame } from '@isochip/frames/node'
import { harbourStudio } from '@isochip/synthetic'

/**
 * A still of one of the studio's cameras as a PNG on the disk; given with its bytes, a file would pass through the page's own thread.
 *
 * @returns its path
 */
export async function stillOf(
  folder: string,
  name: string,
  seat: number,
  size: { readonly width: number; readonly height: number },
): Promise<string> {
  const one = harbourStudio(size).seats[seat]!
  const { data, bits } = one.shoot(one.begin, 1)
  const frame = createFrame(size.width, size.height, data, bits)
  const path = join(folder, name)
  writeFileSync(path, await encodeFrame(frame, { format: 'png' }))
  return path
}
