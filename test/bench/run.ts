/**
 * Every bench in turn, each in a process of its own: `pnpm bench`, or `pnpm bench solver` for one of them; what follows
 * is passed on.
 */
import { spawnSync } from 'node:child_process'
import { readdirSync } from 'node:fs'
import { fileURLToPath } from 'node:url'

const wanted = process.argv[2] ?? ''
const folder = new URL('.', import.meta.url)
for (const file of readdirSync(folder).sort()) {
  if (!file.endsWith('Bench.ts') || !file.startsWith(wanted)) continue
  console.log(`\n── ${file} ──`)
  // Threads take over how packages are resolved, but not how TypeScript is read: a show is measured as built, and a line-up as
  // somebody waits for it.
  const sources = /^(show|lineUp)/.test(file) ? [] : ['-C', '@isochip/source']
  const script = fileURLToPath(new URL(file, folder))
  const run = spawnSync(
    process.execPath,
    ['--import', 'tsx/esm', ...sources, script, ...process.argv.slice(3)],
    { stdio: 'inherit' },
  )
  if (run.status !== 0) process.exitCode = 1
}
