import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { FileMemory } from '../src/read/fileMemory.ts'

let folder = ''
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'isochip-memory-'))
})
afterAll(() => rmSync(folder, { recursive: true, force: true }))

function fileOf(name: string, length: number): { path: string; bytes: Uint8Array } {
  const bytes = Uint8Array.from({ length }, (_, i) => (i * 31 + length) % 256)
  const path = join(folder, name)
  writeFileSync(path, bytes)
  return { path, bytes }
}
const plain = (bytes: Uint8Array) => Uint8Array.from(bytes)

describe('FileMemory', () => {
  it('reads into the memory of the last file what fits there, and nothing of that file is left', async () => {
    const memory = new FileMemory()
    const [large, small] = [fileOf('large', 5000), fileOf('small', 300)]
    const first = await memory.read(large.path)
    expect(plain(first)).toEqual(large.bytes)
    memory.giveBack(first)
    const second = await memory.read(small.path)
    expect(plain(second)).toEqual(small.bytes)
    expect(second.buffer).toBe(first.buffer)
    memory.giveBack(second)
    // All of it is there again, however little of it was used.
    expect((await memory.read(large.path)).buffer).toBe(first.buffer)
  })
  it('gives nobody what another still holds', async () => {
    const memory = new FileMemory()
    const files = [fileOf('a', 100), fileOf('b', 100), fileOf('c', 100)]
    const held = await Promise.all(files.map(({ path }) => memory.read(path)))
    expect(held.map(plain)).toEqual(files.map(({ bytes }) => bytes))
    expect(new Set(held.map(({ buffer }) => buffer)).size).toBe(3)
  })
  it('reads a larger file, and an empty one', async () => {
    const memory = new FileMemory()
    memory.giveBack(await memory.read(fileOf('short', 10).path))
    const long = fileOf('long', 9000)
    expect(plain(await memory.read(long.path))).toEqual(long.bytes)
    // Node reads what has no size into memory that other parts of it use too: that must not come back as free.
    expect((await memory.read(fileOf('empty', 0).path)).buffer.byteLength).toBe(0)
  })
  it('passes on what the file system says', async () => {
    await expect(new FileMemory().read(join(folder, 'nowhere'))).rejects.toMatchObject({ code: 'ENOENT' })
    await expect(new FileMemory().read(folder)).rejects.toMatchObject({ code: 'EISDIR' })
  })
})
