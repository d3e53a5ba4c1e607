import ts from 'typescript'

/**
 * Wraps what the constants of a module start with so that bundlers know it does nothing but make that value, and leave
 * it out where the constant is not used: `const a = f()` → `const a = (() => (f()))()`, marked as pure. Lines stay.
 */
export function droppable(code: string): string {
  const source = ts.createSourceFile('module.ts', code, ts.ScriptTarget.ESNext)
  const insertions: [at: number, text: string][] = []
  for (const statement of source.statements) {
    if (!ts.isVariableStatement(statement)) continue
    for (const { name, initializer } of statement.declarationList.declarations) {
      if (initializer === undefined || !ts.isIdentifier(name) || !makesSomething(initializer)) continue
      insertions.push([initializer.getStart(source), '/* @__PURE__ */ (() => ('], [initializer.end, '))()'])
    }
  }
  let result = code
  for (const [at, text] of insertions.reverse()) result = result.slice(0, at) + text + result.slice(at)
  return result
}

/** Whether evaluating it is more than taking it as it stands: a call, something new, arithmetic, a property, a spread. */
function makesSomething(node: ts.Node): boolean {
  if (ts.isFunctionLike(node) || ts.isTypeNode(node)) return false
  return (
    ts.isCallExpression(node) ||
    ts.isNewExpression(node) ||
    ts.isBinaryExpression(node) ||
    ts.isPropertyAccessExpression(node) ||
    ts.isElementAccessExpression(node) ||
    ts.isTaggedTemplateExpression(node) ||
    ts.isSpreadElement(node) ||
    ts.isSpreadAssignment(node) ||
    ts.forEachChild(node, makesSomething) === true
  )
}
