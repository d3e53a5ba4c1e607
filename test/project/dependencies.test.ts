import { expect, it } from 'vitest'
import { textOf, trackedFiles } from './support/trackedFiles.ts'

interface Manifest {
  readonly name: string
  readonly private?: boolean
  readonly dependencies?: Readonly<Record<string, string>>
  readonly devDependencies?: Readonly<Record<string, string>>
  readonly peerDependencies?: Readonly<Record<string, string>>
}

const manifests = trackedFiles
  .filter((path) => /^(packages\/[^/]+\/)?package\.json$/.test(path))
  .map((path) => ({ folder: path.split('/').at(-2) ?? '', ...(JSON.parse(textOf(path)!) as Manifest) }))
const developers = textOf('DEVELOPERS.md')!

/** `cli frames`, and so on, by what they depend on; those of this repository are left out. */
function published(): Map<string, string> {
  const users = new Map<string, Set<string>>()
  for (const { folder, private: own, dependencies, peerDependencies } of manifests)
    for (const name of Object.keys({ ...dependencies, ...peerDependencies }))
      if (!own && !name.startsWith('@isochip/')) users.set(name, (users.get(name) ?? new Set()).add(folder))
  return new Map([...users].map(([name, folders]) => [name, [...folders].sort().join(' ')]))
}

it('the table of dependencies names what published packages depend on, and which of them', () => {
  const rows = [...developers.matchAll(/^\| (\S+) +\| ([\d.]+) +\| (.+?) +\| .+ \|$/gm)]
  const said = rows.map(([, name, , where]) => [
    name!,
    // An entry of a package, as in core/shapes, is the package's.
    [...new Set(where!.split(', ').map((one) => one.split('/')[0]!))].sort().join(' '),
  ])
  // sharp is a peer of show too, which hands it on to frames.
  const known = published()
  known.set('sharp', known.get('sharp')!.replace(' show', ''))
  expect(new Map(said as [string, string][])).toEqual(known)
})

it('versions are those that are installed', () => {
  const stated = [...developers.matchAll(/^\| (\S+) +\| ([\d.]+) +\|/gm)].map(([, name, version]) => [
    name!,
    version!,
  ])
  expect(stated.length).toBeGreaterThan(10)
  const lock = textOf('pnpm-lock.yaml')!
  for (const [name, version] of stated) expect(lock).toMatch(new RegExp(`^  '?${name}@${version}'?:`, 'm'))
})

it('a reason is given for whatever is used in development', () => {
  const used = manifests.flatMap(({ devDependencies }) => Object.keys(devDependencies ?? {}))
  const names = [...new Set(used)].filter((name) => !/^(@isochip\/|@types\/|isochip$)/.test(name))
  expect(names.length).toBeGreaterThan(15)
  const said = (name: string) => developers.includes(name === '@biomejs/biome' ? 'biome' : name)
  expect(names.filter((name) => !said(name))).toEqual([])
})
