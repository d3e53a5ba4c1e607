import { mkdtemp, rm, symlink, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { keepInput } from '../src/files/keepInput.ts'

describe('what is read is not written over', () => {
  let folder = ''
  beforeEach(async () => {
    folder = await mkdtemp(join(tmpdir(), 'isochip-keep-'))
    await writeFile(join(folder, 'look.cube'), 'a look')
    await symlink(join(folder, 'look.cube'), join(folder, 'link.cube'))
  })
  afterEach(() => rm(folder, { recursive: true }))

  it('not by its own name, a way round, or a link', async () => {
    for (const output of ['look.cube', 'x/../look.cube', 'link.cube']) {
      await expect(keepInput(`${folder}/${output}`, [join(folder, 'look.cube')])).rejects.toMatchObject({
        code: 'output-exists',
      })
    }
  })

  it('another file is free', async () => {
    await expect(keepInput(join(folder, 'new.cube'), [join(folder, 'look.cube')])).resolves.toBeUndefined()
  })
})
