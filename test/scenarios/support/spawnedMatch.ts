import { main } from '../../../packages/cli/src/main.ts'

/* The command from its sources, as a process of its own, so that it can be killed. */
process.exitCode = await main(process.argv.slice(2))
