import { type Document, LineCounter, parseDocument } from 'yaml'

/** Levels: a show has eight. */
const deepest = 400

/**
 * A YAML text as a document that knows its lines; `undefined` where it is nested deeper than 400 levels. The parser calls itself for
 * each level: near the end of the stack not only it gives up, but the engine may, with the whole process.
 */
export function parsedYaml(
  text: string,
): { readonly doc: Document.Parsed; readonly lines: LineCounter } | undefined {
  if (isDeep(text)) return undefined
  const lines = new LineCounter()
  return { doc: parseDocument(text, { lineCounter: lines, prettyErrors: false }), lines }
}

/** Brackets that stay open, indicators in a row, indentation: whatever can begin a level. Quotes are not looked at. */
function isDeep(text: string): boolean {
  let open = 0
  let row = 0
  let indent = 0
  let blank = true
  for (const letter of text) {
    if (letter === '\n' || letter === '\r') {
      row = 0
      indent = 0
      blank = true
      continue
    }
    if (letter === '[' || letter === '{') open++
    else if ((letter === ']' || letter === '}') && open > 0) open--
    if (letter === '-' || letter === '?' || letter === ':') row++
    else if (letter !== ' ' && letter !== '\t') row = 0
    if (blank && letter === ' ') indent++
    else blank = false
    if (open > deepest || row > deepest || indent > deepest) return true
  }
  return false
}
