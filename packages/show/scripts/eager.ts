import ts from 'typescript'

type Change = readonly [from: number, to: number, text: string]

/**
 * The functions of a module so that V8 compiles them as it loads it: `function f() {}` → `const f = (function () {});`, and
 * those within them likewise. Others it looks through for where they end, and comes back at the first call. Lines stay. A
 * module that calls one of its own while it is loaded stays as it is, since that may stand below the call.
 */
export function eager(code: string): string {
  const source = ts.createSourceFile('module.ts', code, ts.ScriptTarget.ESNext, true)
  const functions = source.statements.filter(ts.isFunctionDeclaration)
  const names = new Set(functions.map(({ name }) => name?.text))
  const callsOwn = (node: ts.Node): boolean =>
    (ts.isCallExpression(node) && ts.isIdentifier(node.expression) && names.has(node.expression.text)) ||
    ts.forEachChild(node, callsOwn) === true
  if (source.statements.some((statement) => !ts.isFunctionDeclaration(statement) && callsOwn(statement)))
    return code

  const overloaded = new Set(functions.flatMap(({ body, name }) => (body === undefined ? [name?.text] : [])))
  const changes: Change[] = []
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
  const visit = (node: ts.Node): void => {
    changes.push(...changesWithin(node))
    ts.forEachChild(node, visit)
  }
  visit(source)
  let result = code
  // Of two at one place the outer function's ends later.
  for (const [from, to, text] of changes.sort((a, b) => b[0] - a[0] || b[1] - a[1]))
    result = result.slice(0, from) + text + result.slice(to)
  return result
}

/** `(x) => y` → `(function (x) { return (y) })`, `f(x) {}` of an object → `f: (function (x) {})`. */
function changesWithin(node: ts.Node): Change[] {
  if (ts.isArrowFunction(node)) {
    const { body, equalsGreaterThanToken: arrow, modifiers, end } = node
    const start = node.getStart()
    const opens = node.getFirstToken()?.kind
    if (modifiers !== undefined || opens === ts.SyntaxKind.Identifier || needsItsPlace(body)) return []
    const whole = ts.isBlock(body)
    return [
      [start, start, '(function '],
      [arrow.getStart(), arrow.end, whole ? '' : '{ return ('],
      [end, end, whole ? ')' : ') })'],
    ]
  }
  if (ts.isMethodDeclaration(node) && ts.isObjectLiteralExpression(node.parent)) {
    const { body, name, modifiers, asteriskToken, end } = node
    if (body === undefined || modifiers !== undefined || asteriskToken !== undefined || needsItsPlace(body))
      return []
    return [
      [name.end, name.end, ': (function '],
      [end, end, ')'],
    ]
  }
  return []
}

/** Does a function's body speak of what is not its own? */
function needsItsPlace(node: ts.Node): boolean {
  return (
    node.kind === ts.SyntaxKind.ThisKeyword ||
    node.kind === ts.SyntaxKind.SuperKeyword ||
    (ts.isIdentifier(node) && node.text === 'arguments') ||
    ts.forEachChild(node, needsItsPlace) === true
  )
}
