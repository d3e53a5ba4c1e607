import { fileURLToPath } from 'node:url'
import { build } from 'vite'

const source = (path: string) => fileURLToPath(new URL(`../src/${path}`, import.meta.url))

/**
 * Bundles the page into a folder that any static server can serve: one HTML file an entry, scripts and styles beside them,
 * and the licences of what went in. Packages are taken from their sources.
 *
 * @param out its path; what lies in it is replaced
 */
export async function buildPage(out: string): Promise<void> {
  await build({
    configFile: false,
    root: source(''),
    base: './',
    logLevel: 'error',
    worker: { format: 'es' },
    resolve: { conditions: ['@isochip/source', 'module', 'browser'] },
    build: {
      outDir: out,
      emptyOutDir: true,
      target: 'es2022',
      modulePreload: { polyfill: false },
      // A data address would need leave of the security policy.
      assetsInlineLimit: 0,
      license: { fileName: 'licences.md' },
      rollupOptions: { input: [source('lineup.html'), source('match.html')] },
    },
  })
}
