import { defineConfig } from 'vitest/config'
import { ClosingLine } from './test/support/closingLine.ts'

const fromSource = {
  resolve: { conditions: ['@isochip/source'] },
  ssr: { resolve: { conditions: ['@isochip/source'] } },
}

export default defineConfig({
  test: {
    reporters: ['default', new ClosingLine()],
    projects: [
      { ...fromSource, test: { name: 'packages', include: ['packages/*/test/**/*.test.ts'] } },
      {
        ...fromSource,
        test: {
          name: 'across',
          include: ['test/{standards,consumers,scenarios,project,page}/**/*.test.ts'],
          testTimeout: 60_000,
        },
      },
      { test: { name: 'dist', include: ['test/dist/**/*.test.ts'], testTimeout: 60_000 } },
    ],
  },
})
