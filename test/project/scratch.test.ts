import { existsSync, mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import {
  copiedFolder,
  keptFolder,
  removeScratch,
  scratchFolder,
  scratchRoot,
} from '../support/scratchFolder.ts'

test('folders of a file of tests go, what all files begin with stays and is not written into', async () => {
  let fills = 0
  const fill = (folder: string) => {
    fills++
    writeFileSync(join(folder, 'one'), '1')
    return Promise.resolve()
  }
  const folders = [scratchFolder('a'), await copiedFolder('b', fill), await copiedFolder('b', fill)]
  const kept = await keptFolder('b', fill)
  expect(fills).toBe(1)
  expect(new Set([...folders, kept]).size).toBe(4)
  for (const folder of [...folders.slice(1), kept]) expect(existsSync(join(folder, 'one'))).toBe(true)
  removeScratch()
  for (const folder of folders) expect(existsSync(folder)).toBe(false)
  expect(existsSync(kept)).toBe(true)
})

test('what another thread makes is waited for and not made again; where it could not, that is said', async () => {
  const never = () => Promise.reject(new Error('made again'))
  const begun = (name: string) => {
    const folder = join(scratchRoot, `kept-${name}`)
    mkdirSync(folder, { recursive: true })
    return folder
  }
  const folder = begun('c')
  const waiting = keptFolder('c', never)
  writeFileSync(`${folder}.whole`, '')
  expect(await waiting).toBe(folder)
  writeFileSync(`${begun('d')}.failed`, '')
  await expect(keptFolder('d', never)).rejects.toThrow('another thread could not make')
})
