import { inflateSync } from 'node:zlib'
import { describe, expect, it } from 'vitest'
import { contactSheet, type RenderedFrame } from '../src/index.ts'
import { thumbnailPng } from '../src/scene/thumbnailPng.ts'

const frame: RenderedFrame = {
  width: 4,
  height: 2,
  bits: 16,
  codeScale: 65535,
  data: Uint16Array.from({ length: 24 }, (_, i) => (Math.floor(i / 3) % 4 < 2 ? 65535 : 0)),
}

describe('contactSheet', () => {
  it('thumbnails are PNG files whose pixels are the means of their blocks', () => {
    const png = thumbnailPng(frame, 2)
    // ISO/IEC 15948: signature, then IHDR with width and height, then IDAT after its length and name.
    expect(png.subarray(1, 4).toString()).toBe('PNG')
    expect([png.readUInt32BE(16), png.readUInt32BE(20)]).toEqual([2, 1])
    const start = png.indexOf('IDAT')
    const pixels = inflateSync(png.subarray(start + 4, start + 4 + png.readUInt32BE(start - 4)))
    expect([...pixels]).toEqual([0, 255, 255, 255, 0, 0, 0])
  })

  it('is complete in itself, escapes titles and draws outlines from the first corner', () => {
    const page = contactSheet('Two & more', [
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
