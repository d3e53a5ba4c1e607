import { readdirSync, readFileSync } from 'node:fs'

interface Manifest {
  readonly name: string
  readonly version: string
  readonly license?: string
  readonly private?: boolean
  readonly exports: Readonly<Record<string, string | Readonly<Record<string, unknown>>>>
  readonly dependencies?: Readonly<Record<string, string>>
  readonly peerDependencies?: Readonly<Record<string, string>>
  readonly bin?: Readonly<Record<string, string>>
}

/** A package of the workspace, as it was built. */
export interface BuiltPackage {
  /** Its folder, with a slash at the end. */
  readonly folder: URL
  readonly manifest: Manifest
  /** What it can be imported by, without files of data: `@isochip/frames`, `@isochip/frames/node` … */
  readonly entries: readonly { readonly specifier: string; readonly file: string }[]
}

const packages = new URL('../../../packages/', import.meta.url)

export const builtPackages: readonly BuiltPackage[] = readdirSync(packages)
  .toSorted()
  .map((name) => {
    const folder = new URL(`${name}/`, packages)
    const manifest = JSON.parse(readFileSync(new URL('package.json', folder), 'utf8')) as Manifest
    const entries = Object.entries(manifest.exports).flatMap(([key, target]) =>
      typeof target === 'string'
        ? []
        : [
            {
              specifier: key === '.' ? manifest.name : `${manifest.name}${key.slice(1)}`,
              file: key === '.' ? 'index' : key.slice(2),
            },
          ],
    )
    return { folder, manifest, entries }
  })

/** What users get: everything but the private ones. */
export const published = builtPackages.filter(({ manifest }) => manifest.private !== true)

/** A file of the build, as text. */
function built({ folder }: BuiltPackage, file: string): string {
  return readFileSync(new URL(`dist/${file}`, folder), 'utf8')
}

/** What a built file imports, statically or not, by the names that stand there. */
export function importsOf(code: string): string[] {
  const forms = [
    /^(?:import|export)\b[^'"`;]*?from ?["']([^"']+)["']/gm,
    /^import ["']([^"']+)["']/gm,
    /\bimport\(["']([^"']+)["']\)/g,
  ]
  return [...new Set(forms.flatMap((form) => [...code.matchAll(form)].map((match) => match[1]!)))].toSorted()
}

/** All that a built entry reaches within its own package: its code and that of its chunks. */
export function reached(pack: BuiltPackage, file: string): Map<string, string> {
  const files = new Map<string, string>()
  const visit = (name: string) => {
    if (files.has(name)) return
    const code = built(pack, name)
    files.set(name, code)
    for (const specifier of importsOf(code)) {
      if (specifier.startsWith('./')) visit(specifier.slice(2))
    }
  }
  visit(file)
  return files
}
