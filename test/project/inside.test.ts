import { existsSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { trackedFiles } from './support/trackedFiles.ts'

const page = readFileSync('docs/inside.md', 'utf8')

/** Folders of a package's sources, as the page lists them. */
function listed(name: string): string[] {
  const [, part = ''] = page.split(`\n### packages/${name}\n`)
  const [section] = part.split('\n### ')
  return [...section!.matchAll(/^\| `([\w-]+)` /gm)].map(([, folder]) => folder!).sort()
}

const sources = trackedFiles.flatMap((path) => {
  const [, name, folder] = /^packages\/([\w-]+)\/src\/([\w-]+)\//.exec(path) ?? []
  return name === undefined || folder === undefined ? [] : [[name, folder] as const]
})
const packages = [...new Set(sources.map(([name]) => name))].sort()

describe('the map of the inside', () => {
  it.each(packages)('lists every folder of the sources of %s, and no other', (name) => {
    const folders = new Set(sources.filter(([owner]) => owner === name).map(([, folder]) => folder))
    expect(listed(name)).toEqual([...folders].sort())
  })

  it('names no place that there is not', () => {
    const places = [...page.matchAll(/`((?:packages|test|docs)\/[\w./-]+)`/g)].map(([, place]) => place!)
    expect(places.length).toBeGreaterThan(40)
    expect(places.filter((place) => !existsSync(place))).toEqual([])
  })

  // What a newcomer is most likely to be asked for.
  it.each(['outliers', 'encoding', 'LUT format', 'plot', 'command'])('says where to change: %s', (what) => {
    const [, changes = ''] = page.split('## Where a change goes')
    expect(changes.split('\n## ')[0]).toMatch(new RegExp(`^\\|[^|]*${what}[^|]*\\| .*\`packages/`, 'm'))
  })
})
