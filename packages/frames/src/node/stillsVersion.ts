import { readFile } from 'node:fs/promises'
import { createRequire } from 'node:module'
import { dirname, join } from 'node:path'

/**
 * Which release of the library sharp decodes and encodes stills here: its version, by which those of the decoders that it
 * brings are fixed. Does not load it, which takes many times as long. `undefined` where it is not installed, or cannot be told.
 */
export async function stillsVersion(): Promise<string | undefined> {
  try {
    let folder = dirname(createRequire(import.meta.url).resolve('sharp'))
    for (let above = dirname(folder); folder !== above; folder = above, above = dirname(folder)) {
      const text = await readFile(join(folder, 'package.json'), 'utf8').catch(() => '{}')
      const { name, version } = JSON.parse(text) as { name?: string; version?: string }
      if (name === 'sharp') return `sharp ${version}`
    }
  } catch {
    // A program that was bundled into one file has it nowhere.
  }
  return undefined
}
