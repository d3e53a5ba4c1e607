import { readdirSync, readFileSync } from 'node:fs'
import { dirname, join, relative, resolve } from 'node:path'
import ts from 'typescript'
import { describe, expect, it } from 'vitest'

const root = resolve(import.meta.dirname, '../..')
const packages = readdirSync(join(root, 'packages'))

/** Files of a package that a file of it imports or exports from: for types alone too. */
function importsOf(file: string): string[] {
  const source = ts.createSourceFile(file, readFileSync(file, 'utf8'), ts.ScriptTarget.ES2022)
  const found: string[] = []
  const visit = (node: ts.Node): void => {
    const from =
      ts.isImportDeclaration(node) || ts.isExportDeclaration(node)
        ? node.moduleSpecifier
        : ts.isImportTypeNode(node) && ts.isLiteralTypeNode(node.argument)
          ? node.argument.literal
          : undefined
    if (from !== undefined && ts.isStringLiteral(from) && from.text.startsWith('.'))
      found.push(resolve(dirname(file), from.text))
    ts.forEachChild(node, visit)
  }
  visit(source)
  return found
}

/** Groups of files each of which reaches the others: R. Tarjan, SIAM J. Comput. 1 (1972) 146–160. */
function cyclesOf(graph: ReadonlyMap<string, readonly string[]>): string[][] {
  const index = new Map<string, number>()
  const low = new Map<string, number>()
  const stack: string[] = []
  const cycles: string[][] = []
  const visit = (file: string): void => {
    index.set(file, index.size)
    low.set(file, index.get(file)!)
    stack.push(file)
    for (const next of graph.get(file) ?? []) {
      if (!index.has(next)) {
        visit(next)
        low.set(file, Math.min(low.get(file)!, low.get(next)!))
      } else if (stack.includes(next)) low.set(file, Math.min(low.get(file)!, index.get(next)!))
    }
    if (low.get(file) !== index.get(file)) return
    const group = stack.splice(stack.indexOf(file))
    if (group.length > 1 || graph.get(file)?.includes(file)) cycles.push(group.toSorted())
  }
  for (const file of graph.keys()) if (!index.has(file)) visit(file)
  return cycles
}

describe('imports run one way', () => {
  it('the search finds a cycle, and a file that imports itself', () => {
    const graph = new Map([
      ['a', ['b']],
      ['b', ['c', 'd']],
      ['c', ['a']],
      ['d', []],
      ['e', ['e', 'a']],
    ])
    expect(cyclesOf(graph)).toEqual([['a', 'b', 'c'], ['e']])
  })

  it.each(packages)('%s has no cycle, for types neither', (name) => {
    const folder = join(root, 'packages', name, 'src')
    const files = readdirSync(folder, { recursive: true, encoding: 'utf8' })
      .filter((file) => /\.tsx?$/.test(file))
      .map((file) => join(folder, file))
    const graph = new Map(files.map((file) => [file, importsOf(file)]))
    expect(files.length).toBeGreaterThan(2)
    expect(cyclesOf(graph).map((cycle) => cycle.map((file) => relative(folder, file)))).toEqual([])
  })
})
