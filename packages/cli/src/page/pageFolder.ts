import { existsSync } from 'node:fs'
import { fileURLToPath } from 'node:url'

/** Folder of the built page: beside the command as it was built, or, run from its sources, where a build puts it. */
export function pageFolder(): string {
  const places = ['./page/', '../../dist/page/'].map((path) => new URL(path, import.meta.url))
  return fileURLToPath(places.find((place) => existsSync(new URL('lineup.html', place))) ?? places[0]!)
}
