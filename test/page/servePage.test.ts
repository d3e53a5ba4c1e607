import { rmSync, writeFileSync } from 'node:fs'
import { request } from 'node:http'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type PageServer, servePage } from '../../packages/cli/src/page/servePage.ts'
import { scratchFolder } from '../support/scratchFolder.ts'

/** Status, headers and text of an answer; paths go out as they are written, which `fetch` would not do. */
function ask(
  address: string,
  path: string,
  more: { method?: string; headers?: Record<string, string> } = {},
) {
  const { port } = new URL(address)
  return new Promise<{ status: number; headers: Record<string, unknown>; text: string }>(
    (resolve, reject) => {
      request(
        { host: '127.0.0.1', port, path, signal: AbortSignal.timeout(300_000), ...more },
        (response) => {
          let text = ''
          response.setEncoding('utf8').on('data', (part: string) => (text += part))
          response.on('end', () => resolve({ status: response.statusCode!, headers: response.headers, text }))
        },
      )
        .on('error', reject)
        .end()
    },
  )
}

describe('the server of the page', () => {
  const folder = scratchFolder('serve-page')
  let server: PageServer

  beforeAll(async () => {
    writeFileSync(join(folder, 'lineup.html'), '<p>page</p>')
    writeFileSync(join(folder, '..', 'secret.txt'), 'secret')
    server = await servePage({ folder, index: 'lineup.html', port: 0, writes: ['/turn'] })
  })
  afterAll(async () => {
    await server.close()
    rmSync(join(folder, '..', 'secret.txt'))
  })

  it('serves its files and nothing beside them', async () => {
    expect(await ask(server.address, '/')).toMatchObject({ status: 200, text: '<p>page</p>' })
    for (const path of [
      '/../secret.txt',
      '/..%2fsecret.txt',
      '/%2e%2e/secret.txt',
      '/lineup.html/../../secret.txt',
      '//etc/passwd',
      '/%',
      '/nothing',
    ])
      expect((await ask(server.address, path)).text, path).not.toContain('secret')
    expect((await ask(server.address, '/nothing')).status).toBe(404)
  })

  it('refuses what is no address, and goes on serving', async () => {
    // RFC 3986, 3.2: two slashes begin a host, which may not be empty here; RFC 9112, 3.2.4: * is for OPTIONS alone.
    for (const path of ['//', '///', '//[', 'http://', 'http://[/', '*'])
      expect((await ask(server.address, path)).status, path).toBeGreaterThanOrEqual(400)
    expect((await ask(server.address, '/')).status).toBe(200)
  })

  it('answers to the names of this machine alone, whichever way a request came', async () => {
    const { port } = new URL(server.address)
    for (const host of [`localhost:${port}`, `127.0.0.1:${port}`])
      expect((await ask(server.address, '/', { headers: { Host: host } })).status, host).toBe(200)
    for (const host of ['example.com', `example.com:${port}`, `127.0.0.1.example.com:${port}`, '127.0.0.1'])
      expect((await ask(server.address, '/', { headers: { Host: host } })).status, host).toBe(421)
  })

  it('is not to be written to by others', async () => {
    const write = (path: string, origin?: string) =>
      ask(server.address, path, { method: 'POST', ...(origin && { headers: { Origin: origin } }) })
    expect((await write('/', server.address.slice(0, -1))).status).toBe(405)
    expect((await write('/turn')).status).toBe(405)
    expect((await write('/turn', 'http://example.com')).status).toBe(405)
    expect((await ask(server.address, '/', { method: 'PUT' })).status).toBe(405)
    // From the page itself it goes on, to nobody here.
    expect((await write('/turn', server.address.slice(0, -1))).status).toBe(404)
  })

  it('says to the browser that nothing else may be loaded or asked', async () => {
    const { headers } = await ask(server.address, '/')
    expect(headers['content-security-policy']).toContain("default-src 'none'")
    expect(headers['content-security-policy']).toContain("connect-src 'self'")
    expect(headers['access-control-allow-origin']).toBeUndefined()
  })

  it('listens on the loopback address, and says so where the port is taken', async () => {
    expect(server.address).toMatch(/^http:\/\/127\.0\.0\.1:\d+\/$/)
    const port = Number(new URL(server.address).port)
    await expect(servePage({ folder, index: 'lineup.html', port })).rejects.toMatchObject({ code: 'usage' })
  })
})
