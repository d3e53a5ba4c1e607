import { fileURLToPath } from 'node:url'
import ts from 'typescript'

/**
 * Declarations of all packages, module by module beside the JavaScript of `tsup.config.ts`, from one program. They are
 * derived, not checked: that is `npm run typecheck`.
 */
const root = fileURLToPath(new URL('../../..', import.meta.url))
const { config } = ts.readConfigFile(`${root}tsconfig.json`, ts.sys.readFile)
const { options, fileNames } = ts.parseJsonConfigFileContent(
  { ...config, include: ['packages/*/src'] },
  ts.sys,
  root,
  { noEmit: false, noCheck: true, incremental: false, declaration: true, emitDeclarationOnly: true },
)
const program = ts.createProgram(fileNames, options)
const { diagnostics } = program.emit(undefined, (_, text, __, ___, sources) => {
  const from = sources?.[0]?.fileName
  if (from === undefined) return
  // The compiler leaves the endings of imports as they are in declarations.
  const code = text.replaceAll(/(["'])(\.{1,2}\/[^"']*)\.ts\1/g, '$1$2.js$1')
  ts.sys.writeFile(from.replace(/\/src\//, '/dist/').replace(/\.ts$/, '.d.ts'), code)
})
if (diagnostics.length > 0) {
  console.error(ts.formatDiagnosticsWithColorAndContext(diagnostics, ts.createCompilerHost(options)))
  process.exitCode = 1
}
