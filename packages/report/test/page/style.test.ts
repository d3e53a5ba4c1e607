import { describe, expect, it } from 'vitest'
import { style } from '../../src/page/style.ts'

/** The colours of one of the page's three looks, by their names. */
function colours(rule: string): Record<string, string> {
  const longer = (hex: string) => (hex.length === 4 ? hex.replace(/[0-9a-f]/g, '$&$&') : hex)
  return Object.fromEntries(
    [...rule.matchAll(/--(\w+):(#[0-9a-f]{3,6})/g)].map(([, name, hex]) => [name!, longer(hex!)]),
  )
}

const looks = Object.entries({
  light: style.slice(style.indexOf(':root{'), style.indexOf('@media (prefers-color-scheme')),
  dark: style.slice(style.indexOf('@media (prefers-color-scheme'), style.indexOf('*{box-sizing')),
  paper: style.slice(style.indexOf('@media print{')),
}).map(([name, rule]) => [name, colours(rule)] as const)

const rgb = (hex: string) => [1, 3, 5].map((at) => Number.parseInt(hex.slice(at, at + 2), 16) / 255)

/** Relative luminance and contrast ratio: WCAG 2.2, definitions. */
function luminance(channels: readonly number[]): number {
  const [r, g, b] = channels.map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4))
  return 0.2126 * r! + 0.7152 * g! + 0.0722 * b!
}
function contrast(a: readonly number[], b: readonly number[]): number {
  const [low, high] = [luminance(a), luminance(b)].sort((x, y) => x - y)
  return (high! + 0.05) / (low! + 0.05)
}

describe('style', () => {
  it('measures black on white as WCAG does', () => {
    expect(contrast(rgb('#000000'), rgb('#ffffff'))).toBe(21)
  })

  it.each(looks)(
    '%s: text has a contrast of 4.5 and marks of 3 (WCAG 2.2 AA, 1.4.3 and 1.4.11)',
    (_, look) => {
      for (const ground of ['paper', 'card']) {
        for (const text of ['ink', 'faint', 'key', 'good', 'bad']) {
          expect([text, contrast(rgb(look[text]!), rgb(look[ground]!)) >= 4.5]).toEqual([text, true])
        }
        for (const mark of ['line', 'r', 'g', 'b']) {
          expect([mark, contrast(rgb(look[mark]!), rgb(look[ground]!)) >= 3]).toEqual([mark, true])
        }
      }
    },
  )

  it.each(looks)('%s: figures stay readable in the fullest cell of the pairs', (_, look) => {
    const ground = rgb(look.card!).map((c, i) => 0.58 * c + 0.42 * rgb(look.key!)[i]!)
    expect(contrast(rgb(look.ink!), ground)).toBeGreaterThanOrEqual(4.5)
  })

  it.each(looks)('%s: the ground on which patches are judged is neutral', (_, look) => {
    for (const ground of ['paper', 'card', 'ink', 'faint', 'rule']) {
      expect(new Set(rgb(look[ground]!)).size).toBe(1)
    }
  })
})
