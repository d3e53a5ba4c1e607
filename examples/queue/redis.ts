import { type ChildProcess, spawn } from 'node:child_process'
import { once } from 'node:events'
import { createServer } from 'node:net'

/** A port that nobody listens on. */
export async function freePort(): Promise<number> {
  const server = createServer().listen(0, '127.0.0.1')
  await once(server, 'listening')
  const { port } = server.address() as { port: number }
  server.close()
  await once(server, 'close')
  return port
}

/**
 * Starts a Redis that writes down every change before it says so: what it has taken, it still has after a crash.
 *
 * @param folder for what it keeps
 */
export async function startRedis(port: number, folder: string): Promise<ChildProcess> {
  const settings = {
    port: String(port),
    bind: '127.0.0.1',
    dir: folder,
    appendonly: 'yes',
    appendfsync: 'always',
    save: '',
    'maxmemory-policy': 'noeviction',
  }
  const child = spawn(
    'redis-server',
    Object.entries(settings).flatMap(([name, value]) => [`--${name}`, value]),
    { stdio: ['ignore', 'pipe', 'inherit'] },
  )
  await new Promise<void>((resolve, reject) => {
    child.once('error', () =>
      reject(new Error('there is no redis-server here: on Debian, apt install redis-server')),
    )
    child.once('exit', (status) => reject(new Error(`redis-server ended with status ${status}`)))
    child.stdout?.on('data', (text: Buffer) => {
      if (text.includes('Ready to accept connections')) resolve()
    })
  })
  return child
}
