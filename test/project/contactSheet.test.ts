import { createFrame } from '@isochip/frames'
import { describe, expect, it } from 'vitest'
import { contactSheet } from '../gallery/contactSheet.ts'

const frame = createFrame(4, 2, new Uint16Array(24), 16)

describe('contactSheet', () => {
  it('is complete in itself, escapes titles and draws outlines from the first corner', async () => {
    const page = await contactSheet('Two & more', [
      {
        title: '<one>',
        frame,
        outlines: [
          [
            [0, 1],
            [4, 1],
            [4, 2],
            [0, 2],
          ],
        ],
      },
    ])
    expect(page).toContain('Two &#38; more')
    expect(page).toContain('&#60;one&#62;')
    expect(page).toContain('points="0.0,1.0 4.0,1.0 4.0,2.0 0.0,2.0"')
    expect(page).toContain('cx="0.0" cy="1.0"')
    expect(page).not.toMatch(/(src|href)="(?!data:)/)
  })
})
