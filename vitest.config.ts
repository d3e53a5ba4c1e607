import { availableParallelism } from 'node:os'
import { defineConfig } from 'vitest/config'
import { ClosingLine } from './test/support/closingLine.ts'

/** Packages see each other's sources: nothing has to be built in between. */
const fromSource = {
  resolve: { conditions: ['@isochip/source'] },
  ssr: { resolve: { conditions: ['@isochip/source'] } },
}

/**
 * Files share the modules they load, since no module here has state: loading them for each file anew took as long as the
 * tests. Limits of time are for what hangs, not for what a busy machine does slowly.
 */
const shared = {
  isolate: false,
  pool: 'threads' as const,
  testTimeout: 600_000,
  hookTimeout: 600_000,
  expect: { poll: { timeout: 300_000 } },
  setupFiles: ['test/support/removeScratch.ts', 'test/support/compareArrays.ts'],
  globalSetup: ['test/support/tidyUp.ts'],
}

export default defineConfig({
  test: {
    reporters: ['default', new ClosingLine()],
    // By default one core is left idle. Half as many again as there are: tests wait for programs, browsers and files.
    maxWorkers: Math.ceil(1.5 * availableParallelism()),
    projects: [
      // One project: a worker that has loaded the sources goes on with the next file of the same project alone.
      {
        ...fromSource,
        test: {
          ...shared,
          name: 'sources',
          include: [
            'packages/*/test/**/*.test.ts',
            'test/{standards,consumers,engines,fuzz,scenarios,project,page}/**/*.test.ts',
          ],
        },
      },
      {
        test: {
          ...shared,
          name: 'dist',
          include: ['test/dist/**/*.test.ts'],
          // As users load it: by Node, not by the runner.
          server: { deps: { external: [/\/packages\/[^/]+\/dist\//] } },
        },
      },
    ],
  },
})
