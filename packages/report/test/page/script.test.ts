import { createHash } from 'node:crypto'
import { describe, expect, it } from 'vitest'
import { script, scriptHash } from '../../src/page/script.ts'

describe('script', () => {
  it('is the one that the page’s security policy lets run', () => {
    expect(`sha256-${createHash('sha256').update(script).digest('base64')}`).toBe(scriptHash)
  })
})
