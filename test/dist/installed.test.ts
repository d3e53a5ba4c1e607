import { execFileSync } from 'node:child_process'
import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { publint } from 'publint'
import { formatMessage } from 'publint/utils'
import ts from 'typescript'
import { describe, expect, it } from 'vitest'
import { type BuiltPackage, published } from './support/builtPackages.ts'
import { installPacked, linkLibrary } from './support/install.ts'

const folder = installPacked()
const modules = join(folder, 'node_modules')
const workspace = fileURLToPath(new URL('../../', import.meta.url))
const entries = published.flatMap((pack) => pack.entries)

/** Runs a module of a program that has installed the packages; its output, read as JSON. */
function run(code: string): unknown {
  const file = join(folder, 'program.mjs')
  writeFileSync(file, code)
  return JSON.parse(execFileSync(process.execPath, [file], { cwd: folder, encoding: 'utf8' }))
}

const one = (text: string) => `console.log(JSON.stringify(${text}))`

describe.each(published.map((pack) => [pack.manifest.name, pack] as const))('%s, packed', (name, pack) => {
  const at = join(modules, name)
  const files = readdirSync(at, { recursive: true, encoding: 'utf8', withFileTypes: true })
    .filter((entry) => entry.isFile())
    .map((entry) => join(entry.parentPath, entry.name).slice(at.length + 1))
  const manifest = JSON.parse(readFileSync(join(at, 'package.json'), 'utf8')) as BuiltPackage['manifest']

  it('has its build and its sources, and nothing made for tests', () => {
    expect(files).toEqual(
      expect.arrayContaining([
        'package.json',
        'README.md',
        'LICENSE',
        ...pack.entries.flatMap(({ file }) => ['js', 'd.ts'].map((kind) => `dist/${file}.${kind}`)),
      ]),
    )
    expect(
      files.filter(
        (file) => !/^(package\.json|README\.md|LICENSE|(bin|dist|licences|schema|src)\/.+)$/.test(file),
      ),
    ).toEqual([])
    expect(
      files.filter((file) => /(^|\/)(tests?|fixtures?|scripts|node_modules)\/|\.(test|tmp)\./.test(file)),
    ).toEqual([])
  })

  it('finds every file that its manifest names', () => {
    const named = (value: unknown): string[] =>
      typeof value === 'string'
        ? [value.replace('./', '')]
        : typeof value === 'object' && value !== null
          ? Object.values(value).flatMap(named)
          : []
    const all = named([manifest.exports, manifest.bin]).filter((file) => !file.includes('*'))
    expect(all.length).toBeGreaterThan(1)
    expect(files).toEqual(expect.arrayContaining(all))
  })

  it('asks for the other packages in its own version, and for libraries in a range', () => {
    for (const [library, range] of Object.entries({
      ...manifest.dependencies,
      ...manifest.peerDependencies,
    })) {
      const ours = published.some((other) => other.manifest.name === library)
      expect(range, library).toMatch(ours ? new RegExp(`^${manifest.version}$`) : /^\^\d+\.\d+\.\d+$/)
    }
  })

  it('has a manifest that publint finds nothing wrong with', async () => {
    const { messages } = await publint({ pkgDir: at, pack: false, strict: true })
    expect(messages.map((message) => formatMessage(message, manifest))).toEqual([])
  })
})

describe('installed', () => {
  it('every entry is imported, and is required as it is by programs in CommonJS', () => {
    const required = `const { createRequire } = await import('node:module'); const require = createRequire(import.meta.url)`
    for (const { specifier } of entries) {
      const code = `${required}
        const imported = await import('${specifier}')
        ${one(`[Object.keys(imported).length > 0, require('${specifier}') === imported]`)}`
      expect(run(code), specifier).toEqual([true, true])
    }
  })

  it('an error is of one class, whichever package throws it and however it came in', () => {
    const code = `
      import { IsochipError } from '@isochip/core'
      import { parseChart } from '@isochip/frames'
      import { parseMatchFile } from '@isochip/show'
      import { createRequire } from 'node:module'
      const thrown = async (call) => { try { await call() } catch (error) { return error instanceof IsochipError } }
      const core = createRequire(import.meta.url)('@isochip/core')
      ${one(`await Promise.all([
        () => core.builtinChart('no'), () => parseChart('{', 'chart.json'), () => parseMatchFile('{', 'a.match.json'),
      ].map(thrown))`)}`
    expect(run(code)).toEqual([true, true, true])
  })

  it('declares what a strict program needs', () => {
    linkLibrary(modules, '@types/node', workspace)
    const file = join(folder, 'program.ts')
    writeFileSync(
      file,
      `${entries.map(({ specifier }, i) => `import * as entry${i} from '${specifier}'`).join('\n')}
      import { deltaE00 } from '@isochip/core'
      export const difference: number = deltaE00([50, 0, 0], [51, 0, 0])
      // @ts-expect-error a colour has three numbers
      deltaE00([50, 0], [51, 0, 0])
      export const all = [${entries.map((_, i) => `entry${i}`)}]\n`,
    )
    const options: ts.CompilerOptions = {
      module: ts.ModuleKind.NodeNext,
      moduleResolution: ts.ModuleResolutionKind.NodeNext,
      target: ts.ScriptTarget.ES2022,
      types: ['node'],
      typeRoots: [join(modules, '@types')],
      strict: true,
      // The compiler's own libraries are a third of the work, and not ours to check; all others are.
      skipDefaultLibCheck: true,
      noEmit: true,
    }
    const host = { ...ts.createCompilerHost(options), getCurrentDirectory: () => folder }
    const faults = ts.getPreEmitDiagnostics(ts.createProgram([file], options, host))
    expect(
      ts.formatDiagnostics(
        faults.filter(({ file: of }) => of?.fileName.startsWith(folder)),
        host,
      ),
    ).toBe('')
    expect(ts.formatDiagnostics(faults, host)).toBe('')
  })

  const decode = `
    import { readFileSync } from 'node:fs'
    import { decodeFrame } from '@isochip/frames/node'
    const png = readFileSync(${JSON.stringify(join(workspace, 'examples/ingest/card/wide/day.png'))})
    ${one('await decodeFrame(png).then(({ width }) => width, ({ code, hint }) => [code, hint])')}`

  it('says what to install where sharp is missing, and reads stills where it is there', () => {
    expect(run(decode)).toEqual(['tool-missing', expect.stringContaining('npm install sharp')])
    linkLibrary(modules, 'sharp', join(workspace, 'packages/cli'))
    expect(run(decode)).toBeGreaterThan(0)
  })

  it('the command starts', () => {
    const bin = join(modules, 'isochip/bin/isochip.js')
    const out = execFileSync(process.execPath, [bin, '--version'], { cwd: folder, encoding: 'utf8' })
    expect(out.trim()).toContain(published[0]!.manifest.version)
  })
})
