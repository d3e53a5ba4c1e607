import ts from 'typescript'

/** One change of one expression. */
export interface Mutant {
  readonly id: number
  readonly file: string
  readonly line: number
  readonly before: string
  readonly after: string
}

/** A place in a file, and what is to stand there instead. */
export interface Change {
  readonly start: number
  readonly end: number
  readonly before: string
  readonly after: string
}

const operators: Readonly<Record<string, readonly string[]>> = {
  '+': ['-'],
  '-': ['+'],
  '*': ['/'],
  '/': ['*'],
  '%': ['*'],
  '**': ['*'],
  '<': ['<=', '>='],
  '<=': ['<', '>'],
  '>': ['>=', '<='],
  '>=': ['>', '<'],
  '===': ['!=='],
  '!==': ['==='],
  '&&': ['||'],
  '||': ['&&'],
  '+=': ['-='],
  '-=': ['+='],
  '*=': ['/='],
  '/=': ['*='],
}
const calls: Readonly<Record<string, string>> = {
  'Math.max': 'Math.min',
  'Math.min': 'Math.max',
  'Math.sin': 'Math.cos',
  'Math.cos': 'Math.sin',
  'Math.floor': 'Math.ceil',
  'Math.ceil': 'Math.floor',
}

/** The same number is one more, or a quarter larger; a tolerance moves by three powers of ten, or nobody would see it. */
function otherNumber(text: string): string {
  const value = Number(text.replaceAll('_', ''))
  if (Number.isInteger(value) && value < 1e6) return String(value + 1)
  return String(Math.abs(value) < 1e-4 ? value * 1000 : value * 1.25)
}

/**
 * All changes that can be made to a file: operators, numbers, conditions, pairs of functions. What only makes a message
 * is left alone, and so are the heads of loops, which would never end.
 */
export function changesOf(source: ts.SourceFile): Change[] {
  const changes: Change[] = []
  const put = (node: ts.Node, after: string) => {
    const [start, end] = [node.getStart(source), node.end]
    changes.push({ start, end, before: source.text.slice(start, end), after })
  }
  const visit = (node: ts.Node): void => {
    if (ts.isTypeNode(node) || ts.isImportDeclaration(node) || ts.isExportDeclaration(node)) return
    if (ts.isThrowStatement(node) || ts.isTemplateExpression(node)) return
    if (ts.isForStatement(node) || ts.isWhileStatement(node) || ts.isDoStatement(node)) {
      visit(node.statement)
      return
    }
    if (ts.isBinaryExpression(node)) {
      const [left, right] = [node.left.getText(source), node.right.getText(source)]
      for (const other of operators[node.operatorToken.getText(source)] ?? [])
        put(node, `(${left} ${other} ${right})`)
    } else if (ts.isNumericLiteral(node) && !ts.isPropertyAssignment(node.parent))
      put(node, otherNumber(node.text))
    else if (
      ts.isNumericLiteral(node) &&
      ts.isPropertyAssignment(node.parent) &&
      node.parent.initializer === node
    )
      put(node, otherNumber(node.text))
    else if (ts.isPrefixUnaryExpression(node) && node.operator === ts.SyntaxKind.MinusToken)
      put(node, `(${node.operand.getText(source)})`)
    else if (ts.isPrefixUnaryExpression(node) && node.operator === ts.SyntaxKind.ExclamationToken)
      put(node, `(${node.operand.getText(source)})`)
    else if (ts.isCallExpression(node)) {
      const name = node.expression.getText(source)
      const list = node.arguments.map((each) => each.getText(source)).join(', ')
      if (calls[name] !== undefined) put(node, `${calls[name]}(${list})`)
      else if (name === 'Math.abs' || name === 'Math.sqrt') put(node, `(${list})`)
    } else if (ts.isIfStatement(node)) put(node.expression, `!(${node.expression.getText(source)})`)
    else if (ts.isConditionalExpression(node)) put(node.condition, `!(${node.condition.getText(source)})`)
    ts.forEachChild(node, visit)
  }
  ts.forEachChild(source, visit)
  return changes
}

/**
 * The file with all mutants in it, each of them asleep: where `mutants.on` is its id, the expression is the other one.
 * Loops count, so that one that no longer ends can be stopped.
 */
export function instrument(
  text: string,
  file: string,
  mutants: readonly (Change & { readonly id: number })[],
): string {
  const source = ts.createSourceFile(file, text, ts.ScriptTarget.ES2022, true)
  const at = new Map<string, (Change & { readonly id: number })[]>()
  for (const mutant of mutants) {
    const key = `${mutant.start} ${mutant.end}`
    at.set(key, [...(at.get(key) ?? []), mutant])
  }
  const render = (node: ts.Node): string => {
    const start = node.getStart(source)
    let out = ''
    let from = start
    ts.forEachChild(node, (child) => {
      const begin = child.getStart(source)
      if (begin < from) return
      out += text.slice(from, begin) + render(child)
      from = child.end
    })
    out += text.slice(from, node.end)
    const here = ts.isExpression(node) ? at.get(`${start} ${node.end}`) : undefined
    if (here !== undefined) {
      at.delete(`${start} ${node.end}`)
      out = here.reduce((rest, { id, after }) => `(globalThis.mutants.at(${id}) ? ${after} : ${rest})`, out)
    }
    if (ts.isExpressionStatement(node) && needsSemicolon(node) && out.startsWith('(')) return `;${out}`
    const looped =
      ts.isBlock(node) && (ts.isIterationStatement(node.parent, false) || ts.isArrowFunction(node.parent))
    return looped ? `{ globalThis.mutants.turn();${out.slice(1)}` : out
  }
  return render(source)
}

/** No semicolons are written here, so that a bracket at the start of a line would call what stands on the line before. */
const needsSemicolon = (statement: ts.ExpressionStatement) =>
  ts.isBlock(statement.parent) ||
  ts.isSourceFile(statement.parent) ||
  ts.isCaseOrDefaultClause(statement.parent)
