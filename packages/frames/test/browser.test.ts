import { readdirSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { describe, expect, it } from 'vitest'

const source = fileURLToPath(new URL('../src/', import.meta.url))

/** Files that the browser's entry point reaches, by their import statements. */
function reached(entry: string, seen = new Map<string, string[]>()): Map<string, string[]> {
  if (seen.has(entry)) return seen
  const text = readFileSync(`${source}${entry}`, 'utf8')
  const imports = [...text.matchAll(/from '([^']+)'/g)].map((match) => match[1]!)
  seen.set(entry, imports)
  const folder = entry.includes('/') ? entry.slice(0, entry.lastIndexOf('/') + 1) : ''
  for (const one of imports) {
    if (!one.startsWith('.')) continue
    reached(new URL(one, `file:///${folder}`).pathname.slice(1), seen)
  }
  return seen
}

describe('the browser entry point', () => {
  const files = reached('index.ts')

  it('reaches no file and no module of Node', () => {
    const outside = [...files.values()].flat().filter((one) => !one.startsWith('.'))
    expect([...new Set(outside)].sort()).toEqual([
      '@humanwhocodes/momoa',
      '@isochip/core',
      'csv-parse/browser/esm/sync',
    ])
    expect([...files.keys()].some((file) => file.startsWith('node'))).toBe(false)
    for (const file of files.keys())
      expect(readFileSync(`${source}${file}`, 'utf8')).not.toMatch(/\bBuffer\b|\bprocess\./)
  })

  it('reaches every folder but the decoders', () => {
    const folders = new Set([...files.keys()].map((file) => file.split('/')[0]))
    const all = readdirSync(source, { withFileTypes: true }).filter((entry) => entry.isDirectory())
    for (const { name } of all) expect(folders.has(name)).toBe(name !== 'node')
  })
})
