import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { createContext, runInContext } from 'node:vm'
import { describe, expect, it } from 'vitest'

const require = createRequire(import.meta.url)
const file = new URL('../../packages/core/dist/index.cjs', import.meta.url)

describe('@isochip/core', () => {
  it('matches a camera where there is no Node, no DOM and no console', () => {
    // A context has the language itself and nothing else: process, Buffer, document, fetch or a timer would throw.
    const context = createContext({ module: { exports: {} } })
    // What it uses of other packages is in its own file: it asks for nothing.
    Object.assign(context, {
      require(name: string) {
        throw new Error(`core asks for ${name}`)
      },
    })
    runInContext('globalThis.exports = module.exports', context)
    runInContext(readFileSync(file, 'utf8'), context, { filename: 'index.cjs' })
    const answer = runInContext(
      `
      const core = module.exports
      const chart = core.builtinChart('chart24')
      const working = core.resolvePrimaries('bt709')
      const target = core.targetFromReference(chart, 'C', working)
      const half = (v) => [v[0] / 2, v[1] / 2, v[2] / 2]
      const readings = { patches: chart.patches.map(({ name }) => ({ patch: name, rgb: half(target.light.get(name)) })) }
      const match = core.matchCamera({ chart, readings, encoding: core.resolveEncoding('linear'), target, working })
      JSON.stringify([match.model.gain, match.onSet.exposure, match.summary.after.max])
      `,
      context,
    ) as string
    const [gain, exposure, worst] = JSON.parse(answer)
    for (const value of gain) expect(value).toBeCloseTo(2, 9)
    expect(exposure).toBeCloseTo(1, 9)
    expect(worst).toBeLessThan(1e-6)
  })

  it('is one file, and the licence of every package that went into it lies beside it', () => {
    expect(readFileSync(new URL('index.js', file), 'utf8')).not.toMatch(/^import\b/m)
    const map = JSON.parse(readFileSync(new URL('index.js.map', file), 'utf8')) as { sources: string[] }
    const packages = map.sources.flatMap((source) => /.*node_modules\/([^/]+)\//.exec(source)?.[1] ?? [])
    expect(new Set(packages).size).toBeGreaterThan(1)
    for (const name of new Set(packages)) {
      const licence = readFileSync(new URL(`../licences/${name}.txt`, file), 'utf8')
      expect(licence, name).toMatch(/Permission is hereby granted, free of charge/)
    }
  })

  it('throws one class of error, whichever package throws it', async () => {
    const core = await import('@isochip/core')
    const frames = await import('@isochip/frames')
    const show = await import('@isochip/show')
    const coreRequired = require('@isochip/core') as typeof core
    const framesRequired = require('@isochip/frames') as typeof frames
    const showRequired = require('@isochip/show') as typeof show
    for (const calls of [
      [core, frames, show],
      [coreRequired, framesRequired, showRequired],
    ] as const) {
      const [{ IsochipError, builtinChart }, { parseChart }, { parseMatchFile }] = calls
      expect(() => builtinChart('no')).toThrow(IsochipError)
      expect(() => parseChart('{', 'chart.json')).toThrow(IsochipError)
      await expect(parseMatchFile('{', 'wide.match.json')).rejects.toBeInstanceOf(IsochipError)
    }
  })

  it('is told from other errors by name and code where import and require meet', async () => {
    const core = await import('@isochip/core')
    const required = require('@isochip/core') as typeof core
    expect(required.IsochipError).not.toBe(core.IsochipError)
    expect(() => required.builtinChart('no')).toThrow(
      expect.objectContaining({ name: 'IsochipError', code: 'chart-unknown' }),
    )
  })

  it('says the same by import and by require', async () => {
    const core = await import('@isochip/core')
    const required = require('@isochip/core') as typeof core
    const pair = [[50, 2.6772, -79.7751] as const, [50, 0, -82.7485] as const] as const
    // Sharma, Wu, Dalal 2005, table 1, pair 1.
    for (const { deltaE00 } of [core, required]) expect(deltaE00(...pair)).toBeCloseTo(2.0425, 4)
  })
})
