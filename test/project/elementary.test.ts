import { readFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import ts from 'typescript'
import { expect, test } from 'vitest'
import { trackedFiles } from './support/trackedFiles.ts'

/*
 * Engines differ in the last digit of the functions that ECMA-262 calls implementation-approximated; + − × ÷ and the square
 * root are exact to the last bit everywhere. Whatever may reach a file takes the functions of packages/core/src/elementary. The package
 * `page` is left out: it draws on a screen, and writes nothing.
 */
const approximated =
  /^(?:acosh?|asinh?|atan[h2]?|cbrt|cosh?|exp|expm1|hypot|log|log10|log1p|log2|pow|sinh?|tanh?|f16round|sumPrecise)$/

/** A square, which every engine makes of x·x, and a power of two by its number, which is exact in all. */
const exactPower = (power: ts.BinaryExpression) =>
  power.right.getText() === '2' || (power.left.getText() === '2' && /^-?\d+$/.test(power.right.getText()))

function found(path: string): string[] {
  const text = readFileSync(join(resolve(import.meta.dirname, '../..'), path), 'utf8')
  if (!/Math|\*\*/.test(text)) return []
  const source = ts.createSourceFile(path, text, ts.ScriptTarget.ES2022, true)
  const places: string[] = []
  const visit = (node: ts.Node): void => {
    const wrong =
      ts.isBinaryExpression(node) && node.operatorToken.kind === ts.SyntaxKind.AsteriskAsteriskToken
        ? !exactPower(node)
        : ts.isBinaryExpression(node)
          ? node.operatorToken.kind === ts.SyntaxKind.AsteriskAsteriskEqualsToken
          : ts.isPropertyAccessExpression(node)
            ? node.expression.getText() === 'Math' && approximated.test(node.name.text)
            : // Math handed on or taken apart would hide what is used of it.
              ts.isIdentifier(node) &&
              node.text === 'Math' &&
              !(ts.isPropertyAccessExpression(node.parent) && node.parent.expression === node)
    if (wrong) {
      const { line } = source.getLineAndCharacterOfPosition(node.getStart())
      places.push(`${path}:${line + 1}: ${node.getText()}`)
    }
    ts.forEachChild(node, visit)
  }
  visit(source)
  return places
}

test("no package computes with an engine's own elementary functions", () => {
  const files = trackedFiles.filter((path) =>
    /^packages\/(?!page\/)[a-z]+\/(?:src|kernel)\/.*\.ts$/.test(path),
  )
  expect(files.length).toBeGreaterThan(300)
  expect(files.flatMap(found)).toEqual([])
})
