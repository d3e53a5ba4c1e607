import { describe, expect, it } from 'vitest'
import { Markup, markup } from '../../src/page/markup.ts'
import { unquoted } from '../../src/page/unquoted.ts'

describe('unquoted', () => {
  it('takes the quotes that HTML does without, and no others (HTML, 13.1.2.3 Attributes)', () => {
    const of = (text: string) => unquoted(new Markup(text)).text
    expect(of('<g data-p="7" transform="translate(1,2)"><rect x="1.5"/></g>')).toBe(
      '<g data-p=7 transform=translate(1,2)><rect x=1.5 /></g>',
    )
    for (const kept of [
      '<p class="a b">',
      '<a title="">',
      '<a href="a=b">',
      '<a href="a`b">',
      '<a href="a/">',
    ])
      expect(of(kept)).toBe(kept)
  })

  it('leaves text alone, whatever stands in it', () => {
    const text = markup`<b title="${'x="1" y'}">${'a="1"/> b="2"'}</b>`
    expect(unquoted(text).text).toBe(text.text)
  })
})
