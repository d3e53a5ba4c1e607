import { execFileSync } from 'node:child_process'
import { existsSync, mkdirSync, readFileSync, realpathSync, symlinkSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { scratchFolder } from '../../support/scratchFolder.ts'
import { published } from './builtPackages.ts'

const root = fileURLToPath(new URL('../../../', import.meta.url))

/** Puts a library of the workspace into a folder of modules, under the name it is imported by. */
export function linkLibrary(modules: string, name: string, of: string): void {
  const to = join(modules, name)
  if (existsSync(to)) return
  mkdirSync(dirname(to), { recursive: true })
  symlinkSync(realpathSync(join(of, 'node_modules', name)), to)
}

/**
 * Packs every published package and installs the tarballs side by side into a folder of its own, without the network:
 * what they depend on is taken from the workspace, and nothing else is there, neither sources' neighbours nor the
 * libraries of development. Not installed either: `sharp`, which is optional.
 *
 * @returns the folder; the packages lie in its `node_modules`
 */
export function installPacked(): string {
  const folder = scratchFolder('installed')
  const modules = join(folder, 'node_modules')
  execFileSync(
    'npx',
    [
      ...['-y', '--prefer-offline', 'pnpm@10.34.9', '-r', '--filter', './packages/*'],
      ...['--filter', '!@isochip/synthetic', 'pack', '--pack-destination', folder],
    ],
    { cwd: root, stdio: ['ignore', 'ignore', 'inherit'] },
  )
  for (const { manifest, folder: built } of published) {
    const to = join(modules, manifest.name)
    mkdirSync(to, { recursive: true })
    const tarball = `${manifest.name.replace('@', '').replace('/', '-')}-${manifest.version}.tgz`
    execFileSync('tar', ['-xf', join(folder, tarball), '-C', to, '--strip-components', '1'])
    const packed = JSON.parse(readFileSync(join(to, 'package.json'), 'utf8')) as typeof manifest
    for (const name of Object.keys(packed.dependencies ?? {})) {
      if (name !== 'sharp' && !published.some((other) => other.manifest.name === name))
        linkLibrary(modules, name, fileURLToPath(built))
    }
  }
  return folder
}
