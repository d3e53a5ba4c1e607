import { describe, expect, it } from 'vitest'
import { drawable, glyph, textWidth } from '../src/draw/glyphs.ts'

describe('glyphs', () => {
  it.each([
    ['cámara grúa', 'camara grua'],
    ['Kran über Küche', 'Kran uber Kuche'],
    ['høyre, gauche œil, ½', 'hoyre, gauche oeil, 1?2'],
    ['Straße žluť Ωμέγα', 'Strasse zlut ?????'],
    ['wide day-1_a', 'wide day-1_a'],
  ])('draws %s as %s', (text, drawn) => {
    expect(drawable(text)).toBe(drawn)
  })

  it('has every printable letter and digit of ASCII, and no two alike', () => {
    const letters = [...'abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789']
    expect(letters.map(drawable)).toEqual(letters)
    expect(new Set(letters.map((letter) => glyph(letter).join())).size).toBe(letters.length)
  })

  it('measures what is drawn, not what is written', () => {
    // Five columns a character and one between.
    expect(textWidth('ß')).toBe(11)
    expect(textWidth('é')).toBe(5)
    expect(textWidth('')).toBe(0)
  })
})
