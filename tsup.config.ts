import { fileURLToPath } from 'node:url'
import { defineConfig, type Options } from 'tsup'
import { sourcesDigest } from './packages/show/scripts/sourcesDigest.ts'

/**
 * One process builds every package: ESM, CommonJS and both kinds of declarations. Packages see each other's
 * sources through the `@isochip/source` condition while they are type-checked, and stay external in the output.
 */
const build = (name: string, entry: string[] = ['src/index.ts'], more: Options = {}): Options => ({
  name,
  entry: entry.map((file) => `packages/${name}/${file}`),
  outDir: `packages/${name}/dist`,
  tsconfig: `packages/${name}/tsconfig.json`,
  format: ['esm', 'cjs'],
  target: 'node20.19',
  sourcemap: true,
  clean: true,
  skipNodeModulesBundle: true,
  external: [/^@isochip\//],
  dts: { compilerOptions: { ignoreDeprecations: '6.0' } },
  ...more,
})

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
 * Importing core shall be quick. What it uses of culori and ml-matrix goes into its own file instead of a hundred more
 * to load; ml-matrix from its sources, of which unused parts fall away. Both stay dependencies for those who import
 * core's sources; the licences of all that goes in lie in `packages/core/licences`.
 */
const withItsOwn: Options = {
  noExternal: [/^culori/, /^ml-/, /^is-any-array/],
  esbuildOptions(options) {
    options.alias = {
      'ml-matrix': fileURLToPath(
        new URL('packages/core/node_modules/ml-matrix/src/index.js', import.meta.url),
      ),
    }
  },
}

/** The threads of a show start with a file of their own, which has to lie beside the one that starts them. */
const withWorker: Options = {
  entry: {
    index: 'packages/show/src/index.ts',
    node: 'packages/show/src/node.ts',
    worker: 'packages/show/src/workers/worker.ts',
  },
  // `import.meta.url` in CommonJS too.
  shims: true,
  // What an earlier build has kept is nothing to go by, though the version be the same.
  define: { ISOCHIP_SOURCES: JSON.stringify(sourcesDigest()) },
}

export default defineConfig([
  build('core', ['src/index.ts'], withItsOwn),
  build('frames', ['src/index.ts', 'src/node.ts']),
  build('export'),
  build('report'),
  build('show', [], withWorker),
  build('synthetic'),
  build('cli', ['src/index.ts'], withSynthetic),
])
