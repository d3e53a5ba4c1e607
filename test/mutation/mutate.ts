import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, relative, resolve } from 'node:path'
import { parseArgs } from 'node:util'
import ts from 'typescript'
import { createVitest, type TestSpecification, type Vitest } from 'vitest/node'
import { seededRandom } from '../../packages/core/src/random.ts'
import { type Change, changesOf, instrument } from './mutants.ts'

/*
 * Changes the sources, one place at a time, and sees whether a test notices:
 *
 *     npm run mutate -- packages/core/src/fit --count 60 --tests packages/core/test --tests test/standards
 *
 * All mutants of a sample stand in the sources from the start, asleep, so that nothing is transformed anew; a first run
 * finds which test file meets which mutant. Then each mutant is woken, and the test files that meet it run, the quick
 * ones first, until one fails or the time for it is up. A kill counts when the same file passes with no mutant awake:
 * before, right after its first kill, and once more at the end. `--only` tries some of the sample again, by number.
 */

declare module 'vitest' {
  interface ProvidedContext {
    mutation: { on?: number; limit: number; report?: string }
  }
}

const root = resolve(import.meta.dirname, '../..')
const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    count: { type: 'string', default: '50' },
    seed: { type: 'string', default: '1' },
    tests: { type: 'string', multiple: true },
    seconds: { type: 'string', default: '20' },
    minutes: { type: 'string', default: '20' },
    only: { type: 'string' },
  },
})
if (positionals.length === 0) throw new Error('which files or folders?')

const files = positionals.flatMap((path) =>
  path.endsWith('.ts')
    ? [resolve(path)]
    : readdirSync(path, { recursive: true, encoding: 'utf8' })
        .filter((name) => name.endsWith('.ts'))
        .sort()
        .map((name) => resolve(path, name)),
)
const tests = values.tests ?? [...new Set(positionals.map((path) => path.replace(/\/src(\/.*)?$/, '/test')))]

type Placed = Change & { readonly id: number; readonly file: string }
const random = seededRandom(Number(values.seed))
const all = files.flatMap((file) => {
  const source = ts.createSourceFile(file, readFileSync(file, 'utf8'), ts.ScriptTarget.ES2022, true)
  return changesOf(source).map((change) => ({ ...change, file }))
})
const sample: Placed[] = all
  .map((change) => ({ change, at: random() }))
  .toSorted((a, b) => a.at - b.at)
  .slice(0, Number(values.count))
  .map(({ change }, id) => ({ ...change, id }))
/** What is tried of the sample, by its numbers in it: those that survived, once there is a test for them. */
const only = values.only?.split(',').map(Number)
const chosen = sample.filter(({ id }) => only === undefined || only.includes(id))

const place = ({ file, start }: Placed) => {
  const line = readFileSync(file, 'utf8').slice(0, start).split('\n').length
  return `${relative(root, file)}:${line}`
}

const report = mkdtempSync(join(tmpdir(), 'mutation-'))
const vitest: Vitest = await createVitest(
  'test',
  {
    config: false,
    root,
    watch: false,
    include: tests.map((path) => (path.endsWith('.ts') ? path : `${path}/**/*.test.ts`)),
    pool: 'threads',
    isolate: false,
    maxWorkers: 1,
    setupFiles: [join(import.meta.dirname, 'setup.ts')],
    reporters: [{}],
    testTimeout: 600_000,
    hookTimeout: 600_000,
  },
  {
    resolve: { conditions: ['@isochip/source'] },
    ssr: { resolve: { conditions: ['@isochip/source'] } },
    plugins: [
      {
        name: 'mutants',
        enforce: 'pre',
        transform: (text, id) => {
          const file = id.split('?')[0]!
          const own = sample.filter((mutant) => mutant.file === file)
          return own.length === 0 ? undefined : { code: instrument(text, file, own), map: null }
        },
      },
    ],
  },
)

/** Does a test of the file fail? */
async function fails(spec: TestSpecification, on: number | undefined, limit: number): Promise<boolean> {
  vitest.provide('mutation', { limit, ...(on === undefined ? { report } : { on }) })
  const { testModules, unhandledErrors } = await vitest.runTestSpecifications([spec])
  // The runner names all files that it has ever run, with what came of them then.
  const own = testModules.filter(({ moduleId }) => moduleId === spec.moduleId)
  return unhandledErrors.length > 0 || own.length !== 1 || !own[0]!.ok()
}

interface Known {
  readonly spec: TestSpecification
  readonly met: ReadonlySet<number>
  readonly turns: number
  readonly seconds: number
}
const known: Known[] = []
for (const spec of await vitest.globTestSpecifications()) {
  const began = performance.now()
  if (await fails(spec, undefined, Number.POSITIVE_INFINITY)) {
    console.log(`left out, since it fails as things are: ${relative(root, spec.moduleId)}`)
    continue
  }
  const seconds = (performance.now() - began) / 1000
  const said = JSON.parse(readFileSync(join(report, `${encodeURIComponent(spec.moduleId)}.json`), 'utf8'))
  // With none awake and loops counted it must pass, or every mutant would be killed by it.
  if (await fails(spec, -1, 20 * said.turns + 1e6)) {
    console.log(`left out, since it fails with no mutant awake: ${relative(root, spec.moduleId)}`)
    continue
  }
  known.push({ spec, met: new Set(said.met), turns: said.turns, seconds })
}
known.sort((a, b) => a.seconds - b.seconds)
const total = known.reduce((sum, { seconds }) => sum + seconds, 0)
console.log(
  `${all.length} mutants in ${files.length} files, ${chosen.length} of them tried; ${known.length} test files, ${total.toFixed(0)} s`,
)

const until = performance.now() + Number(values.minutes) * 60_000
const kills: TestSpecification[] = []
let tried = 0
for (const mutant of chosen) {
  if (performance.now() > until) break
  const meeting = known.filter(({ met }) => met.has(mutant.id))
  let left = Number(values.seconds)
  let by: TestSpecification | undefined
  let skipped = 0
  for (const { spec, turns, seconds } of meeting) {
    if (seconds > left) {
      skipped++
      continue
    }
    left -= seconds
    if (await fails(spec, mutant.id, 20 * turns + 1e6)) {
      by = spec
      // What fails for another reason would fail from now on: the first kill of a file is looked at at once.
      if (!kills.includes(spec) && (await fails(spec, -1, 20 * turns + 1e6)))
        throw new Error(`${relative(root, spec.moduleId)} fails with no mutant awake`)
      break
    }
  }
  tried++
  if (by !== undefined) kills.push(by)
  const verdict =
    by !== undefined
      ? `killed   ${relative(root, by.moduleId)}`
      : meeting.length === 0
        ? 'SURVIVED no test comes here'
        : `SURVIVED ${meeting.length} test files${skipped > 0 ? `, ${skipped} of them too slow to be tried` : ''}`
  const short = (text: string) => text.replace(/\s+/g, ' ').slice(0, 70)
  console.log(
    `${verdict}\n    ${String(mutant.id).padStart(4)} ${place(mutant)}  ${short(mutant.before)} → ${short(mutant.after)}`,
  )
}

// The control once more, after the last mutant: what fails now with none awake does not fail because of a mutant.
let counted = kills.length
for (const { spec, turns } of known) {
  const own = kills.filter((kill) => kill === spec).length
  if (own === 0 || !(await fails(spec, -1, 20 * turns + 1e6))) continue
  counted -= own
  console.log(`fails with no mutant awake, its ${own} kills do not count: ${relative(root, spec.moduleId)}`)
}
console.log(`\n${counted} of ${tried} killed: ${((100 * counted) / tried).toFixed(0)} %`)
rmSync(report, { recursive: true })
await vitest.close()
process.exit(0)
