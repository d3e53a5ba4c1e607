import { describe, expect, it } from 'vitest'
import { textOf, trackedFiles } from './support/trackedFiles.ts'

const texts = trackedFiles.flatMap((path) => {
  const text = textOf(path)
  return text === undefined ? [] : [{ path, text }]
})

/** Every place where the pattern stands, as `path:line: found`. */
function placesOf(pattern: RegExp, except: readonly string[] = []): string[] {
  return texts
    .filter(({ path }) => !except.includes(path))
    .flatMap(({ path, text }) =>
      [...text.matchAll(pattern)].map(
        (match) => `${path}:${text.slice(0, match.index).split('\n').length}: ${match[0].trim()}`,
      ),
    )
}

describe('tracked files', () => {
  it('are there to be looked at', () => expect(texts.length).toBeGreaterThan(300))

  it('have one decision a number', () => {
    const numbers = trackedFiles.flatMap((path) => path.match(/^docs\/decisions\/(\d{4})-/)?.[1] ?? [])
    expect(numbers.length).toBeGreaterThan(20)
    expect(numbers.filter((one, i) => numbers.indexOf(one) !== i)).toEqual([])
  })

  // The parts are joined here, so that this file does not find itself.
  const word = (...parts: string[]) => parts.join('')

  it('name no path of a machine', () => {
    const tops = ['work', 'tmp', 'home', 'root', 'Users', 'mnt'].join('|')
    expect(placesOf(new RegExp(`(?:^|[\\s"'\`(=:])/(?:${tops})/[\\w.-]+`, 'gm'))).toEqual([])
    expect(placesOf(/\b[A-Z]:\\(?:Users|Windows)\\/g)).toEqual([])
  })

  it('name no registry', () => {
    // By their form, so that this file names none either: an address that serves packages or archives of them.
    expect(placesOf(/https?:\/\/[^\s"')]*(?:\.tgz|\/-\/|\/npm\/|\/simple\/)/g)).toEqual([])
    expect(placesOf(new RegExp(word('tarball', ':|_auth', 'Token|reg', 'istry='), 'g'))).toEqual([])
    expect(
      trackedFiles.filter((path) => /(^|\/)(\.npmrc|package-lock\.json|yarn\.lock)$/.test(path)),
    ).toEqual([])
  })

  it('name no host but those of standards and of examples', () => {
    // Identifiers of schemas and namespaces, this machine itself, and addresses that nobody has (RFC 5737, RFC 2606).
    const known =
      /^https?:\/\/(www\.smpte-ra\.org|www\.w3\.org|json-schema\.org|192\.0\.2\.1|127\.0\.0\.1|[\w.]*example\.(org|com|net)|x$)/
    const found = placesOf(/https?:\/\/[\w.-]+/g)
    expect(found.length).toBeGreaterThan(0)
    expect(found.filter((place) => !known.test(place.replace(/^.*?: /, '')))).toEqual([])
  })

  it('reach for nothing outside the project', () => {
    expect(placesOf(new RegExp(word('\\.\\./', 'shared\\b'), 'g'))).toEqual([])
  })

  it('leave nothing undone, and run every test', () => {
    expect(
      placesOf(
        new RegExp(
          `\\b(?:${word('TO', 'DO')}|${word('FIX', 'ME')}|${word('HA', 'CK')}|${word('X', 'XX')})\\b`,
          'g',
        ),
      ),
    ).toEqual([])
    expect(placesOf(/\b(?:it|test|bench)\.(?:skip|only|todo|fails)\b|\bdescribe\.(?:only|todo)\b/g)).toEqual(
      [],
    )
    // A program of others that is not on the machine is the one thing that a suite may be skipped for.
    expect(placesOf(/\bdescribe\.skip\b/g, ['test/support/consumer.ts'])).toEqual([])
  })

  it('have no conflict marks and no debugging left in', () => {
    expect(placesOf(/^(?:<<<<<<<|>>>>>>>) /gm)).toEqual([])
    expect(placesOf(/^\s*debugger\b/gm)).toEqual([])
  })
})

describe('folders of sources', () => {
  it('have no more files than are seen at once', () => {
    const files = new Map<string, number>()
    for (const path of trackedFiles) {
      const [, folder] = /^(packages\/[^/]+\/src(?:\/.*)?)\/[^/]+$/.exec(path) ?? []
      if (folder !== undefined) files.set(folder, (files.get(folder) ?? 0) + 1)
    }
    expect(files.size).toBeGreaterThan(50)
    expect([...files].filter(([, count]) => count > 15)).toEqual([])
  })
})

describe('the top of the repository', () => {
  it('has these folders and files, and settings', () => {
    const top = [...new Set(trackedFiles.map((path) => path.split('/')[0]!))].filter(
      (name) => !name.startsWith('.'),
    )
    expect(top.toSorted()).toEqual([
      'DEVELOPERS.md',
      'LICENSE',
      'README.md',
      'biome.json',
      'docs',
      'examples',
      'knip.json',
      'package.json',
      'packages',
      'pnpm-lock.yaml',
      'pnpm-workspace.yaml',
      'test',
      'tsconfig.base.json',
      'tsconfig.json',
      'tsup.config.ts',
      'vitest.config.ts',
    ])
  })

  it('has the same folders and files in every package', () => {
    const packages = new Map<string, Set<string>>()
    for (const path of trackedFiles) {
      const [top, name, entry] = path.split('/')
      if (top === 'packages') packages.set(name!, (packages.get(name!) ?? new Set()).add(entry!))
    }
    expect([...packages.keys()].toSorted()).toEqual([
      'cli',
      'core',
      'export',
      'frames',
      'page',
      'report',
      'show',
      'synthetic',
    ])
    for (const [name, entries] of packages) {
      expect([...entries], name).toEqual(
        expect.arrayContaining(['package.json', 'src', 'test', 'tsconfig.json']),
      )
      const more = [...entries].filter(
        (entry) => !['package.json', 'src', 'test', 'tsconfig.json', 'README.md', 'LICENSE'].includes(entry),
      )
      expect(
        more.filter((entry) => !['bin', 'kernel', 'licences', 'schema', 'scripts'].includes(entry)),
        name,
      ).toEqual([])
    }
  })
})

describe('files of code', () => {
  it('are shorter than 500 lines', () => {
    const long = texts.filter(({ path, text }) => /\.tsx?$/.test(path) && text.split('\n').length > 500)
    expect(long.map(({ path }) => path)).toEqual([])
  })

  it('of src import each other by their own extension', () => {
    const bare = /^(?:import|export)[^'"\n]*from '\.[^']*(?<!\.tsx?|\.json|\.js)'/gm
    // AssemblyScript, in which the kernels are written, knows no endings.
    const kernel = /^packages\/[a-z]+\/kernel\//
    expect(placesOf(bare).filter((place) => place.startsWith('packages/') && !kernel.test(place))).toEqual([])
  })
})
