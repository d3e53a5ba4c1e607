import { readFileSync } from 'node:fs'
import { createServer, type Server } from 'node:http'
import type { AddressInfo } from 'node:net'
import { extname, join } from 'node:path'

const types: Readonly<Record<string, string>> = {
  '.html': 'text/html',
  '.js': 'text/javascript',
  '.css': 'text/css',
}

/** A folder that is served, and by what. */
export interface ServedFolder {
  /** Of the folder, with a slash at the end. */
  readonly address: string
  readonly server: Server
}

/**
 * Any static server: files of a folder under a path, and nothing else.
 *
 * @param lost which requests come to nothing, once it is known
 * @param more texts of scripts that are served beside them, by their names
 */
export async function serveFolder(
  folder: string,
  {
    lost = () => false,
    more = {},
  }: {
    lost?: (url: string) => boolean | Promise<boolean>
    more?: Readonly<Record<string, string>>
  } = {},
): Promise<ServedFolder> {
  const server = createServer(async ({ url }, response) => {
    // A connection that is cut Chromium tries again by itself.
    if (await lost(url!)) return void response.writeHead(503).end()
    try {
      const path = new URL(url!, 'http://example.com').pathname.replace(/^\/isochip\//, '')
      const bytes = more[path] ?? readFileSync(join(folder, path))
      response.writeHead(200, { 'Content-Type': types[extname(url!)] ?? 'application/octet-stream' })
      response.end(bytes)
    } catch {
      response.writeHead(404).end()
    }
  })
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  return { server, address: `http://127.0.0.1:${(server.address() as AddressInfo).port}/isochip/` }
}
