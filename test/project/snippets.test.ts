import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import ts from 'typescript'
import { afterAll, describe, expect, it } from 'vitest'
import { markdownFiles, root } from './support/trackedFiles.ts'

// Code in README and docs is marked `ts run`: it stands alone, says what it expects by assert, and is run here against
// the sources.

interface Snippet {
  /** `README.md:12`, where its first line stands. */
  readonly place: string
  readonly marks: string
  readonly code: string
}

const snippets = markdownFiles.flatMap((path): Snippet[] => {
  const text = readFileSync(new URL(path, root), 'utf8')
  return [...text.matchAll(/^```(\S[^\n]*)\n([\s\S]*?)^```/gm)].map((match) => ({
    place: `${path}:${text.slice(0, match.index).split('\n').length + 1}`,
    marks: match[1]!.trim(),
    code: match[2]!,
  }))
})
const runnable = snippets.filter(({ marks }) => marks === 'ts run')

const folder = mkdtempSync(join(fileURLToPath(new URL('.', import.meta.url)), '.snippets-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))
const files = runnable.map(({ code }, i) => {
  const file = join(folder, `snippet${i}.ts`)
  writeFileSync(file, code)
  return file
})

describe('code in the documentation', () => {
  it('is there, and all of it is run', () => {
    expect(runnable.length).toBeGreaterThan(0)
    const others = snippets.filter(
      ({ marks }) => /^(ts|typescript|js|javascript|mjs|tsx)\b/.test(marks) && marks !== 'ts run',
    )
    expect(others.map(({ place, marks }) => `${place}: ${marks}`)).toEqual([])
  })

  it('type-checks', () => {
    const config = ts.getParsedCommandLineOfConfigFile(
      fileURLToPath(new URL('tsconfig.json', root)),
      {},
      {
        ...ts.sys,
        onUnRecoverableConfigFileDiagnostic: (fault) => {
          throw new Error(ts.flattenDiagnosticMessageText(fault.messageText, '\n'))
        },
      },
    )!
    const program = ts.createProgram(files, { ...config.options, noUnusedLocals: false })
    const faults = files.flatMap((file, i) =>
      ts.getPreEmitDiagnostics(program, program.getSourceFile(file)).map((fault) => {
        const line = fault.file?.getLineAndCharacterOfPosition(fault.start ?? 0).line ?? 0
        return `${runnable[i]!.place} + ${line}: ${ts.flattenDiagnosticMessageText(fault.messageText, ' ')}`
      }),
    )
    expect(faults).toEqual([])
  })

  it.each(runnable.map(({ place }, i) => [place, i] as const))('%s runs', async (_, i) => {
    expect(runnable[i]!.code).toContain('assert')
    await import(/* @vite-ignore */ files[i]!)
  })
})
