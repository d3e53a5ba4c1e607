import { readFileSync } from 'node:fs'
import { builtinModules } from 'node:module'
import { describe, expect, it } from 'vitest'
import { builtPackages, importsOf, published, reached } from './support/builtPackages.ts'

const builtin = (specifier: string) => specifier.startsWith('node:') || builtinModules.includes(specifier)
/** `@a/b/c` → `@a/b`, `a/b` → `a`. */
const packageOf = (specifier: string) =>
  specifier
    .split('/')
    .slice(0, specifier.startsWith('@') ? 2 : 1)
    .join('/')

describe('the packages', () => {
  it('are these', () => {
    const names = (list: typeof builtPackages) => list.map(({ manifest }) => manifest.name)
    expect(names(published)).toEqual([
      'isochip',
      '@isochip/core',
      '@isochip/export',
      '@isochip/frames',
      '@isochip/report',
      '@isochip/show',
    ])
    expect(names(builtPackages.filter((pack) => !published.includes(pack)))).toEqual([
      '@isochip/page',
      '@isochip/synthetic',
    ])
  })

  it('have one version', () => {
    expect(new Set(published.map(({ manifest }) => manifest.version)).size).toBe(1)
  })

  it('import one way: core ← frames, export, report ← show ← the command', () => {
    const level: Record<string, number> = {
      '@isochip/core': 0,
      '@isochip/frames': 1,
      '@isochip/export': 1,
      '@isochip/report': 1,
      '@isochip/show': 2,
      isochip: 3,
    }
    for (const { manifest } of published) {
      for (const name of Object.keys(manifest.dependencies ?? {})) {
        if (name in level)
          expect(level[name], `${manifest.name} on ${name}`).toBeLessThan(level[manifest.name]!)
      }
    }
  })
})

describe.each(published.map((pack) => [pack.manifest.name, pack] as const))('%s', (_, pack) => {
  const { manifest, folder, entries } = pack

  it('imports at run time only what it depends on', () => {
    const allowed = Object.keys({ ...manifest.dependencies, ...manifest.peerDependencies })
    for (const { file } of entries) {
      for (const [name, code] of reached(pack, `${file}.js`)) {
        const others = importsOf(code).filter((from) => !from.startsWith('./') && !builtin(from))
        expect(allowed, `${name} of ${manifest.name}`).toEqual(expect.arrayContaining(others.map(packageOf)))
      }
    }
  })

  it('carries the licence of the whole', () => {
    const licence = (of: URL) => readFileSync(new URL('LICENSE', of), 'utf8')
    expect(licence(folder)).toBe(licence(new URL('../../', folder)))
    expect(manifest.license).toBe('MIT')
  })
})

describe('in a browser', () => {
  // All but the decoders (frames/node) and the files of a show (show/node).
  const entries = published
    .filter(({ manifest }) => manifest.name !== 'isochip')
    .flatMap((pack) => pack.entries.map((entry) => ({ ...entry, pack })))
    .filter(({ file }) => file !== 'node')

  it.each(entries)('$specifier needs nothing of Node', ({ pack, file }) => {
    for (const [name, code] of reached(pack, `${file}.js`)) {
      expect(importsOf(code).filter(builtin), name).toEqual([])
      expect(
        importsOf(code).filter((from) => from.endsWith('/node')),
        name,
      ).toEqual([])
    }
  })
})
