import { fileURLToPath } from 'node:url'
import ts from 'typescript'
import { describe, expect, it } from 'vitest'
import { type BuiltPackage, published } from './support/builtPackages.ts'

const files = published.flatMap((pack) =>
  pack.entries.map(({ file }) => fileURLToPath(new URL(`dist/${file}.d.ts`, pack.folder))),
)
const program = ts.createProgram(files, {
  module: ts.ModuleKind.NodeNext,
  moduleResolution: ts.ModuleResolutionKind.NodeNext,
  target: ts.ScriptTarget.ES2022,
  lib: ['lib.es2023.d.ts'],
  types: [],
  skipLibCheck: true,
  noEmit: true,
})
const checker = program.getTypeChecker()

/** What a declaration file gives, as a compiler of users sees it. */
function declared(pack: BuiltPackage, file: string): { name: string; value: boolean }[] {
  const source = program.getSourceFile(fileURLToPath(new URL(`dist/${file}.d.ts`, pack.folder)))!
  return checker
    .getExportsOfModule(checker.getSymbolAtLocation(source)!)
    .map((symbol) => {
      const own = symbol.flags & ts.SymbolFlags.Alias ? checker.getAliasedSymbol(symbol) : symbol
      return { name: symbol.name, value: (own.flags & ts.SymbolFlags.Value) !== 0 }
    })
    .toSorted((a, b) => (a.name < b.name ? -1 : 1))
}

describe('what the packages give', () => {
  it('is the list in exports.txt: a change of it is a change for users', async () => {
    const parts = await Promise.all(
      published.flatMap((pack) =>
        pack.entries.map(async ({ specifier, file }) => {
          const values = Object.keys(await import(specifier))
          const types = declared(pack, file).filter(({ value }) => !value)
          const lines = [...values, ...types.map(({ name }) => `type ${name}`)]
          return [specifier, ...lines.toSorted().map((line) => `  ${line}`)].join('\n')
        }),
      ),
    )
    await expect(`${parts.join('\n\n')}\n`).toMatchFileSnapshot('./exports.txt')
  })
})

for (const pack of published) {
  describe.each(pack.entries)('$specifier', ({ specifier, file }) => {
    it('declares what it gives', async () => {
      const values = Object.keys(await import(specifier)).toSorted()
      const names = declared(pack, file).filter(({ value }) => value)
      expect(values.length).toBeGreaterThan(0)
      expect(names.map(({ name }) => name).toSorted()).toEqual(values)
    })
  })
}
