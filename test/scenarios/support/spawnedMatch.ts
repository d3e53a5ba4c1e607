import { main } from '../../../packages/cli/src/main.ts'

/* Run as a process of its own, so that it can be killed: says when it begins, then matches. */
process.stdout.write('begin\n')
process.exitCode = await main(process.argv.slice(2))
