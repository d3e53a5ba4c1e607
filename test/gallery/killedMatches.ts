import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { killedMatches } from '../dist/support/killedMatches.ts'

/**
 * Kills a match at two hundred moments (or as many as are asked for), and looks after each whether everything is in
 * order. Run from the root of the project, once it is built:
 * `node --import tsx/esm -C @isochip/source test/gallery/killedMatches.ts [ROUNDS]`.
 */
const rounds = Number(process.argv[2] ?? 200)
const folder = mkdtempSync(join(tmpdir(), 'isochip-killed-'))
try {
  const { hits, leftovers, mixed, faults } = await killedMatches(folder, { rounds })
  for (const fault of faults) console.log(fault)
  console.log(
    `${rounds} rounds: ${hits} runs killed before their end, ${leftovers} with temporary files left behind, ` +
      `${mixed} with files of two runs, ` +
      `${faults.length} faults`,
  )
  process.exitCode = faults.length === 0 ? 0 : 1
} finally {
  rmSync(folder, { recursive: true, force: true })
}
