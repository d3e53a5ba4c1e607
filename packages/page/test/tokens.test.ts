import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'

const text = readFileSync(new URL('../src/style/tokens.css', import.meta.url), 'utf8')
const colours = new Map([...text.matchAll(/--([\w-]+): #(\w{6});/g)].map(([, name, hex]) => [name!, hex!]))

const channels = (name: string) =>
  [0, 2, 4].map((at) => Number.parseInt(colours.get(name)!.slice(at, at + 2), 16))

/** WCAG 2.2, relative luminance. */
function luminance(name: string): number {
  const [r, g, b] = channels(name).map((code) => {
    const value = code / 255
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4
  })
  return 0.2126 * r! + 0.7152 * g! + 0.0722 * b!
}

/** WCAG 2.2, contrast ratio. */
function contrast(one: string, other: string): number {
  const [dark, light] = [luminance(one), luminance(other)].toSorted((a, b) => a - b)
  return (light! + 0.05) / (dark! + 0.05)
}

describe('the colours of the page', () => {
  it('are neutral where pictures are looked at', () => {
    for (const name of ['surround', 'sheet', 'edge', 'well', 'well-line', 'well-ink'])
      expect(new Set(channels(name)).size, name).toBe(1)
  })

  // WCAG 2.2, success criteria 1.4.3 (4.5 for text) and 1.4.6 (7 for what is to be read from afar).
  it.each([
    ['ink', 'surround', 7],
    ['ink', 'sheet', 7],
    ['ink-quiet', 'surround', 4.5],
    ['good', 'sheet', 4.5],
    ['doubt', 'sheet', 4.5],
    ['bad', 'sheet', 4.5],
    ['focus', 'surround', 4.5],
    ['well-ink', 'well', 7],
    ['red', 'well', 4.5],
    ['green', 'well', 4.5],
    ['blue', 'well', 4.5],
  ])('%s on %s reads', (ink, ground, least) => {
    expect(contrast(ink, ground)).toBeGreaterThanOrEqual(least)
  })
})
