import { spawnSync } from 'node:child_process'
import { readdirSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { createContext, runInContext } from 'node:vm'
import { build } from 'esbuild'
import { describe, expect, it } from 'vitest'
import { importsOf } from './support/builtPackages.ts'

const dist = new URL('../../packages/core/dist/', import.meta.url)

/** What a bundler makes of a module that imports core as built. */
async function bundled(code: string, minify: boolean): Promise<string> {
  const { outputFiles } = await build({
    stdin: { contents: code, resolveDir: fileURLToPath(new URL('../../', import.meta.url)) },
    bundle: true,
    minify,
    format: 'iife',
    write: false,
  })
  return outputFiles[0]!.text
}

describe('@isochip/core', () => {
  it('matches a camera where there is no Node, no DOM and no console', async () => {
    const code = await bundled(
      `
      import * as core from '@isochip/core'
      const chart = core.builtinChart('chart24')
      const working = core.resolvePrimaries('bt709')
      const target = core.targetFromReference(chart, 'C', working)
      const half = (v) => [v[0] / 2, v[1] / 2, v[2] / 2]
      const readings = { patches: chart.patches.map(({ name }) => ({ patch: name, rgb: half(target.light.get(name)) })) }
      const match = core.matchCamera({ chart, readings, encoding: core.resolveEncoding('linear'), target, working })
      answer = JSON.stringify([match.model.gain, match.onSet.exposure, match.summary.after.max])
      `,
      false,
    )
    // A context has the language itself and nothing else: process, Buffer, document, fetch or a timer would throw.
    const answer = runInContext(`let answer; ${code}; answer`, createContext({})) as string
    const [gain, exposure, worst] = JSON.parse(answer)
    for (const value of gain) expect(value).toBeCloseTo(2, 9)
    expect(exposure).toBeCloseTo(1, 9)
    expect(worst).toBeLessThan(1e-6)
  })

  it('costs an application that wants a colour difference no more than that', async () => {
    const pair = '[50, 2.6772, -79.7751], [50, 0, -82.7485]'
    const code = await bundled(`import { deltaE00 } from '@isochip/core'; answer = deltaE00(${pair})`, true)
    // Sharma, Wu, Dalal (2005), table 1, pair 1.
    expect(runInContext(`let answer; ${code}; answer`, createContext({}))).toBeCloseTo(2.0425, 4)
    // What else core makes when it is loaded, curves, primaries, charts, falls away: 3.5 kB leave room for nothing of it.
    expect(code.length).toBeLessThan(3500)
  })

  it('is one file, and a second one of matrices: each more would make importing it slower', () => {
    // The shapes are an entry of their own, which alone needs zod.
    expect(readdirSync(dist).filter((name) => name.endsWith('.js'))).toEqual([
      'index.js',
      'matrices.js',
      'shapes.js',
    ])
    const imports = (name: string) => importsOf(readFileSync(new URL(name, dist), 'utf8'))
    expect(imports('index.js')).toEqual(['./matrices.js'])
    expect(imports('matrices.js')).toEqual([])
    const { sources } = JSON.parse(readFileSync(new URL('index.js.map', dist), 'utf8')) as {
      sources: string[]
    }
    expect(sources.filter((source) => source.includes('ml-matrix'))).toEqual([])
  })

  it('compiles what a fit needs while it is loaded: the first fit of a process does not wait for it', () => {
    const code = `
      import { getHeapCodeStatistics } from 'node:v8'
      const core = await import('@isochip/core')
      const aims = [...core.targetFromReference(core.builtinChart('chart24'), 'C', core.resolvePrimaries('bt709')).light.values()]
      const source = aims.map(([r, g, b]) => [0.5 * r + 0.02 * g, 0.6 * g + 0.1 * b * b, 0.7 * b + 0.01])
      const before = getHeapCodeStatistics().bytecode_and_metadata_size
      core.fitPatches(source, aims)
      console.log(getHeapCodeStatistics().bytecode_and_metadata_size - before)`
    const run = spawnSync(process.execPath, ['--input-type=module', '-e', code], { encoding: 'utf8' })
    expect(run.stderr).toBe('')
    // Bytes; what is left are closures. Compiled at the first call, all of it is over 50,000.
    expect(Number(run.stdout)).toBeGreaterThan(0)
    expect(Number(run.stdout)).toBeLessThan(20_000)
  })

  it('has the licence of every package that went into it beside it', () => {
    const packages = ['index.js.map', 'matrices.js.map'].flatMap((name) => {
      const { sources } = JSON.parse(readFileSync(new URL(name, dist), 'utf8')) as { sources: string[] }
      return sources.flatMap((source) => /.*node_modules\/([^/]+)\//.exec(source)?.[1] ?? [])
    })
    expect(new Set(packages).size).toBeGreaterThan(1)
    for (const name of new Set(packages)) {
      const licence = readFileSync(new URL(`../licences/${name}.txt`, dist), 'utf8')
      expect(licence, name).toMatch(/Permission is hereby granted, free of charge/)
    }
  })
})
