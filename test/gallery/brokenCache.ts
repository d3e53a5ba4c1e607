import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { brokenCache } from '../scenarios/support/brokenCache.ts'

/**
 * Breaks what a show has kept a thousand times (or as often as is asked for), and looks whether the next run has the
 * right bytes. Run from the root of the project:
 * `node --import tsx/esm -C @isochip/source test/gallery/brokenCache.ts [ROUNDS]`.
 */
const rounds = Number(process.argv[2] ?? 1000)
const folder = mkdtempSync(join(tmpdir(), 'isochip-broken-'))
try {
  const { done, told, faults } = await brokenCache(folder, rounds)
  for (const fault of faults) console.log(fault)
  for (const [way, count] of Object.entries(done)) console.log(`${count} × ${way}`)
  console.log(`${rounds} rounds: ${told} entries told of as thrown away, ${faults.length} faults`)
  process.exitCode = faults.length === 0 ? 0 : 1
} finally {
  rmSync(folder, { recursive: true, force: true })
}
