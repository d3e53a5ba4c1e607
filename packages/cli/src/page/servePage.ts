import { readdir, readFile } from 'node:fs/promises'
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http'
import type { AddressInfo } from 'node:net'
import { extname, join, relative, sep } from 'node:path'
import { IsochipError } from '@isochip/core'

/** Answers a request under its path; true where it has taken it on. */
type Answer = (path: string, request: IncomingMessage, response: ServerResponse) => boolean

export interface ServePageOptions {
  /** Folder of the built page. */
  readonly folder: string
  /** The file that stands for `/`. */
  readonly index: string
  /** Where it listens; 0 is any free port. */
  readonly port: number
  /** What is asked before the files; only of requests that came to this host by its own name. */
  readonly answer?: Answer
  /** Paths that may be asked by POST, from the page itself. Default none: the page reads only. */
  readonly writes?: readonly string[]
}

export interface PageServer {
  /** `http` address to open in a browser. */
  readonly address: string
  close(): Promise<void>
}

/** This machine alone: nobody else on the network can ask. */
const host = '127.0.0.1'

const types: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.md': 'text/plain; charset=utf-8',
  '.json': 'application/json',
  '.wasm': 'application/wasm',
  '.webp': 'image/webp',
  '.png': 'image/png',
}

/**
 * Nothing is loaded from or sent to anywhere but this server, and no other page may show or read this one. Its workers may compile
 * WebAssembly: the kernels of pictures and LUTs.
 */
const headers = {
  'Content-Security-Policy':
    "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data:; connect-src 'self'; media-src 'self' blob:; worker-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
  'Cross-Origin-Resource-Policy': 'same-origin',
  'Cross-Origin-Opener-Policy': 'same-origin',
  'Referrer-Policy': 'no-referrer',
  'X-Content-Type-Options': 'nosniff',
  'Cache-Control': 'no-store',
}

/**
 * Serves the page on 127.0.0.1. A request that names another host is refused, by whatever name it reached this machine: a
 * page of elsewhere could otherwise read what is here (DNS rebinding).
 *
 * @throws IsochipError `usage` where the port is taken
 */
export async function servePage(options: ServePageOptions): Promise<PageServer> {
  const { folder, index, port, answer, writes = [] } = options
  const files = await filesIn(folder)
  let own: readonly string[] = []
  const server = createServer((request, response) => {
    for (const [name, value] of Object.entries(headers)) response.setHeader(name, value)
    const refuse = (status: number, text: string): void => {
      response.writeHead(status, { 'Content-Type': 'text/plain' }).end(text)
    }
    if (!own.includes(request.headers.host ?? '')) return refuse(421, 'not the name of this server')
    const path = pathOf(request.url ?? '/', `http://${own[0]}`)
    if (path === undefined) return refuse(400, 'not an address')
    const reads = request.method === 'GET' || request.method === 'HEAD'
    const { origin } = request.headers
    const fromPage = own.some((name) => origin === `http://${name}`)
    if (!reads && !(request.method === 'POST' && writes.includes(path) && fromPage)) {
      response.setHeader('Allow', 'GET, HEAD')
      return refuse(405, 'this server is read only')
    }
    if (answer?.(path, request, response)) return
    const name = path === '/' ? index : decoded(path).slice(1)
    if (!reads || !files.has(name)) return refuse(404, 'there is no such file')
    readFile(join(folder, name)).then(
      (bytes) => {
        response.writeHead(200, {
          'Content-Type': types[extname(name)] ?? 'application/octet-stream',
          'Content-Length': bytes.length,
        })
        response.end(request.method === 'HEAD' ? undefined : bytes)
      },
      () => refuse(404, 'there is no such file'),
    )
  })
  await new Promise<void>((resolve, reject) => {
    server.once('error', (cause: NodeJS.ErrnoException) =>
      reject(
        new IsochipError('usage', `the page cannot be served at port ${port}: ${cause.message}`, {
          hint: 'give another port, or end what listens there',
          cause,
        }),
      ),
    )
    server.listen(port, host, resolve)
  })
  const { port: at } = server.address() as AddressInfo
  own = [`${host}:${at}`, `localhost:${at}`]
  return {
    address: `http://${host}:${at}/`,
    close: () =>
      new Promise((resolve) => {
        server.close(() => resolve())
        // Streams of events never end by themselves.
        server.closeAllConnections()
      }),
  }
}

/** By their paths from the folder: what is not among them is not served, whatever a request writes. */
async function filesIn(folder: string): Promise<Set<string>> {
  const entries = await readdir(folder, { recursive: true, withFileTypes: true }).catch(() => [])
  const files = entries.filter((entry) => entry.isFile())
  return new Set(
    files.map(({ parentPath, name }) => relative(folder, join(parentPath, name)).split(sep).join('/')),
  )
}

/** The path of a request; `undefined` where what was asked for is no address (RFC 9112, 3.2). */
function pathOf(asked: string, own: string): string | undefined {
  try {
    return new URL(asked, own).pathname
  } catch {
    return undefined
  }
}

function decoded(path: string): string {
  try {
    return decodeURIComponent(path)
  } catch {
    return path
  }
}
