import { main } from '../../../packages/cli/src/main.ts'
import { quietPipes } from '../../../packages/cli/src/quietPipes.ts'

/* The command from its sources, as a process of its own, so that it can be killed, or left by its reader. */
quietPipes([process.stdout, process.stderr])
process.exitCode = await main(process.argv.slice(2))
