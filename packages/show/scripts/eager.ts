import ts from 'typescript'

/**
 * The functions of a module so that V8 compiles them as it loads it: `function f() {}` → `const f = (function () {});`. Others
 * it looks through for where they end, and comes back at the first call. Lines stay. A module that calls one of its own
 * while it is loaded stays as it is, since that may stand below the call.
 */
export function eager(code: string): string {
  const source = ts.createSourceFile('module.ts', code, ts.ScriptTarget.ESNext)
  const functions = source.statements.filter(ts.isFunctionDeclaration)
  const names = new Set(functions.map(({ name }) => name?.text))
  const callsOwn = (node: ts.Node): boolean =>
    (ts.isCallExpression(node) && ts.isIdentifier(node.expression) && names.has(node.expression.text)) ||
    ts.forEachChild(node, callsOwn) === true
  if (source.statements.some((statement) => !ts.isFunctionDeclaration(statement) && callsOwn(statement)))
    return code

  const overloaded = new Set(functions.flatMap(({ body, name }) => (body === undefined ? [name?.text] : [])))
  const changes: [from: number, to: number, text: string][] = []
  for (const declaration of functions) {
    const { name, modifiers, end } = declaration
    if (name === undefined || overloaded.has(name.text)) continue
    const start = modifiers?.end ?? declaration.getStart(source)
    changes.push(
      [start, start, ` const ${name.text} = (`],
      [name.getStart(source), name.end, ''],
      [end, end, ');'],
    )
  }
  let result = code
  for (const [from, to, text] of changes.reverse()) result = result.slice(0, from) + text + result.slice(to)
  return result
}
