/** Every bench in turn, each in a process of its own: `pnpm bench`, or `pnpm bench solver` for one of them. */
import { spawnSync } from 'node:child_process'
import { readdirSync } from 'node:fs'
import { fileURLToPath } from 'node:url'

const wanted = process.argv[2] ?? ''
const folder = new URL('.', import.meta.url)
for (const file of readdirSync(folder).sort()) {
  if (!file.endsWith('Bench.ts') || !file.startsWith(wanted)) continue
  console.log(`\n── ${file} ──`)
  const run = spawnSync(
    process.execPath,
    ['--import', 'tsx/esm', '-C', '@isochip/source', fileURLToPath(new URL(file, folder))],
    { stdio: 'inherit' },
  )
  if (run.status !== 0) process.exitCode = 1
}
