import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { defineConfig, type Options } from 'tsup'
import { buildPage } from './packages/page/scripts/buildPage.ts'
import { droppable } from './packages/show/scripts/droppable.ts'
import { eager } from './packages/show/scripts/eager.ts'
import { sourcesDigest } from './packages/show/scripts/sourcesDigest.ts'

type Plugin = NonNullable<Options['esbuildPlugins']>[number]

/** What every fit runs through: compiled with the module, since the first fit of a process would wait for it. */
const everyFit =
  /core\/src\/(elementary|linear|solver|problem|once|samples\/samples|fit\/(fit|linearFit|perceptual)|model\/(affine|designOf|split)|colour\/(ciede|lab|viewing))/

function prepared(path: string): string {
  const code = droppable(readFileSync(path, 'utf8'))
  return everyFit.test(path) ? eager(code) : code
}

/**
 * What a module makes when it is loaded may be left out where nobody uses it: `sideEffects: false`, statement by statement.
 * Functions that every fit needs are compiled at once.
 */
function leavesOut(folder: string): Plugin {
  return {
    name: 'droppable',
    setup(build) {
      build.onLoad({ filter: /\.ts$/ }, ({ path }) =>
        path.startsWith(folder) ? { contents: prepared(path), loader: 'ts' } : undefined,
      )
    },
  }
}

/**
 * One process builds the JavaScript of every package, ES modules alone; `packages/show/scripts/writeDeclarations.ts` makes the declarations.
 * Packages see each other's sources through the `@isochip/source` condition while they are type-checked, and stay external
 * in the output, as everything does that they depend on. One file an entry: to load modules one by one takes five times as
 * long (docs/decisions/0015).
 */
function build(name: string, entries: readonly string[] = ['index.ts'], more: Options = {}): Options {
  const folder = `packages/${name}/src/`
  return {
    name,
    entry: Object.fromEntries(
      entries.map((file) => [file.replace(/^.*\//, '').replace('.ts', ''), folder + file]),
    ),
    outDir: `packages/${name}/dist`,
    tsconfig: `packages/${name}/tsconfig.json`,
    format: 'esm',
    target: 'node20.19',
    sourcemap: true,
    clean: true,
    skipNodeModulesBundle: true,
    external: [/^@isochip\//],
    ...more,
    esbuildPlugins: [
      leavesOut(fileURLToPath(new URL(folder, import.meta.url))),
      ...(more.esbuildPlugins ?? []),
    ],
  }
}

/**
 * The demo's renderer is private, and the published command has the demo all the same: it is bundled, from its
 * sources, since all packages are built at once. What it imports itself stays external like everything else.
 */
const withSynthetic: Options = {
  external: [/^@isochip\/(?!synthetic)/],
  noExternal: ['@isochip/synthetic'],
  esbuildOptions(options) {
    options.conditions = ['@isochip/source']
  },
}

/**
 * Importing core shall be quick, and its library takes many times as long to load as all the rest of it. What it uses of
 * ml-matrix is taken from its sources and built in, as a file of its own, which falls away where no matrix is used. It stays
 * a dependency for those who import core's sources; the licences of all that goes in lie in `packages/core/licences`.
 */
const withLibraries: Options = {
  noExternal: [/^ml-/, /^is-any-array/],
  esbuildOptions(options) {
    options.alias = {
      'ml-matrix': fileURLToPath(
        new URL('packages/core/node_modules/ml-matrix/src/index.js', import.meta.url),
      ),
    }
  },
  esbuildPlugins: [
    {
      name: 'matrices-apart',
      setup(build) {
        build.onResolve({ filter: /\/matrices\.ts$/ }, ({ kind }) =>
          kind === 'entry-point' ? undefined : { path: './matrices.js', external: true },
        )
      },
    },
  ],
}

export default defineConfig([
  // Without chunks: what the shapes share with the rest are a few lists of names, which each of the two files has.
  build('core', ['index.ts', 'shapes.ts', 'solver/matrices.ts'], { splitting: false, ...withLibraries }),
  build('frames', ['index.ts', 'node.ts']),
  build('export'),
  build('report', ['index.ts', 'shapes.ts']),
  // The threads of a show start with a file of their own, which has to lie beside the one that starts them. What an
  // earlier build has kept is nothing to go by, though the version be the same.
  build('show', ['index.ts', 'node.ts', 'workers/worker.ts'], {
    define: { ISOCHIP_SOURCES: JSON.stringify(sourcesDigest()) },
  }),
  build('synthetic'),
  // The page lies beside the command that serves it, as files.
  build('cli', ['index.ts'], {
    ...withSynthetic,
    onSuccess: () => buildPage(fileURLToPath(new URL('packages/cli/dist/page', import.meta.url))),
  }),
])
