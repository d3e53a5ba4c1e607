import { once } from 'node:events'
import { fileURLToPath } from 'node:url'
import { isIsochipError } from '@isochip/core'
import { Command } from 'commander'
import { parseWhole } from '../options/parseNumber.ts'
import { type PageServer, servePage } from '../page/servePage.ts'
import type { Run } from '../run.ts'
import { status } from '../status.ts'

/** What browsers remember of a page, such as the inputs of this machine, they keep by its port. */
const usualPort = 7091

/** Beside the bundled command; the build puts it there. */
const built = new URL('./page', import.meta.url)

export const pageCommand = (run: Run): Command =>
  new Command('page')
    .summary('match cameras on a page in the browser')
    .description(
      'Serves a page on this machine alone, on which frames of a chart are dropped and ' +
        'matched; it prints the address. Pictures never leave the machine: the page works ' +
        'in the browser, and the server sends nothing but the page.',
    )
    .option('--port <n>', 'port to listen at (default: 7091, or any that is free)', parseWhole)
    .action(async ({ port }: { port?: number }) => {
      const { terminal, signal } = run
      const server = await atPort(port)
      terminal.out(`${server.address}\n`)
      terminal.err('Open this address in a browser; Ctrl-C ends it.\n')
      if (signal !== undefined && !signal.aborted) await once(signal, 'abort')
      await server.close()
      run.setStatus(status.cancelled)
    })

async function atPort(given: number | undefined): Promise<PageServer> {
  const serve = (port: number) => servePage({ folder: fileURLToPath(built), index: 'match.html', port })
  try {
    return await serve(given ?? usualPort)
  } catch (cause) {
    if (given !== undefined || !isIsochipError(cause)) throw cause
    return await serve(0)
  }
}
