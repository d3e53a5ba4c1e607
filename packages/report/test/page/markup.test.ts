import { describe, expect, it } from 'vitest'
import { markup } from '../../src/page/markup.ts'

describe('markup', () => {
  it('escapes what is put in, and only once', () => {
    const name = `<b a="1" b='2'>&amp;`
    expect(markup`<i title="${name}">${markup`${name}`}</i>`.text).toBe(
      '<i title="&lt;b a=&quot;1&quot; b=&#39;2&#39;&gt;&amp;amp;">&lt;b a=&quot;1&quot; b=&#39;2&#39;&gt;&amp;amp;</i>',
    )
  })

  it('joins lists, leaves out what is not there, keeps zero', () => {
    expect(markup`${['a', [1, 0]]}${undefined}${false}|`.text).toBe('a10|')
  })

  it('makes control characters visible', () => {
    expect(markup`${`a${String.fromCharCode(0, 27)}b\n`}`.text).toBe('a��b\n')
  })
})
