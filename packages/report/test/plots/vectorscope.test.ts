import { type BarName, bars75, type Vec3 } from '@isochip/core'
import { describe, expect, it } from 'vitest'
import {
  graticule,
  leavesScope,
  scopeReach,
  scopeSide as side,
  vectorscope,
  vectorscopeScales,
} from '../../src/plots/camera/vectorscope.ts'
import { boxHalf } from '../../src/signal/scopeGraticule.ts'
import { bars10bit } from '../support/bars10bit.ts'
import { patchesOf } from '../support/patchesOf.ts'
import { rounding, withClass } from '../support/svg.ts'

const reach = scopeReach([])
const grey: Vec3 = [0.5, 0.5, 0.5]

/** A picture of patches that are grey as shot and have the given codes after the match. */
const pictureOf = (codes: readonly Vec3[]) =>
  vectorscope(
    {
      patches: patchesOf(
        codes.map((code, i) => ({ name: `p${i}`, source: grey, matched: code, target: code })),
      ),
    },
    reach,
    'test',
  )

describe('vectorscope', () => {
  it('puts 75 % colour bars into the centre of their boxes, which stand where the standard’s codes are', () => {
    const picture = pictureOf(bars75.map(({ code }) => code))
    const discs = withClass(picture, 'circle', 'mt')
    const boxes = withClass(graticule(reach), 'rect', 'box')
    expect(boxes).toHaveLength(6)
    const { x, y } = vectorscopeScales(reach)
    for (const [i, box] of boxes.entries()) {
      const centre = [Number(box.x) + Number(box.width) / 2, Number(box.y) + Number(box.height) / 2]
      // Corner, width and disc are each rounded for the picture.
      expect(Math.abs(Number(discs[i]!.cx) - centre[0]!)).toBeLessThan(3 * rounding)
      expect(Math.abs(Number(discs[i]!.cy) - centre[1]!)).toBeLessThan(3 * rounding)
      // 896 codes span Cb −0.5…0.5 about 512 (BT.709-6, item 4.6); a printed code is right to half a code.
      const [, cb, cr] = bars10bit[box['data-box'] as BarName]
      const half = (x(1 / 896) - x(0)) / 2
      expect(Math.abs(centre[0]! - x((cb - 512) / 896))).toBeLessThan(half + 2 * rounding)
      expect(Math.abs(centre[1]! - y((cr - 512) / 896))).toBeLessThan(half + 2 * rounding)
      expect(Number(box.width)).toBeCloseTo(x(2 * boxHalf) - x(0), 0)
    }
  })

  // Common practice, no source: values equally spaced between two primaries are equally spaced dots.
  it.each(bars75.map(({ name }, i) => [name, bars75[(i + 1) % 6]!.name, i] as const))(
    'spaces equal steps from %s to %s equally',
    (_from, _to, i) => {
      const from = bars75[i]!.code
      const to = bars75[(i + 1) % 6]!.code
      const steps = [0, 0.25, 0.5, 0.75, 1].map(
        (t): Vec3 => [0, 1, 2].map((k) => from[k]! + t * (to[k]! - from[k]!)) as unknown as Vec3,
      )
      const points = withClass(pictureOf(steps), 'circle', 'mt').map(({ cx, cy }) => [Number(cx), Number(cy)])
      const gaps = points.slice(1).map((p, k) => [p[0]! - points[k]![0]!, p[1]! - points[k]![1]!])
      for (const gap of gaps) {
        expect(Math.abs(gap[0]! - gaps[0]![0]!)).toBeLessThan(4 * rounding)
        expect(Math.abs(gap[1]! - gaps[0]![1]!)).toBeLessThan(4 * rounding)
      }
      expect(Math.hypot(gaps[0]![0]!, gaps[0]![1]!)).toBeGreaterThan(20)
    },
  )

  it('puts every grey in the middle, red up and blue to the right, and runs from as shot to matched', () => {
    const picture = pictureOf([[0.75, 0, 0], grey])
    const rings = withClass(picture, 'circle', 'as')
    expect(rings.map(({ cx, cy }) => [cx, cy])).toEqual([
      ['220', '220'],
      ['220', '220'],
    ])
    const [red] = withClass(picture, 'circle', 'mt')
    expect(Number(red!.cy)).toBeLessThan(60)
    const [way] = withClass(picture, 'path', 'way')
    expect(way!.d).toBe(`M220 220L${red!.cx} ${red!.cy}`)
    const [blue] = withClass(pictureOf([[0, 0, 0.75]]), 'circle', 'mt')
    expect(Number(blue!.cx)).toBeGreaterThan(380)
  })

  it('keeps what is written beside the boxes clear of them and of each other', () => {
    const picture = graticule(reach)
    // A letter of this size is at most 11 wide and 11 high; texts are placed by their middle, start or end.
    const texts = [
      ...picture.text.matchAll(/<text class="([^"]*)"[^>]* x="([^"]+)" y="([^"]+)">([^<]+)</g),
    ].map(([, kind, tx, ty, text]) => {
      const width = 8.5 * text!.length
      const from = Number(tx) - (kind!.includes('mid') ? width / 2 : kind!.includes('end') ? width : 0)
      return { text: text!, left: from, right: from + width, top: Number(ty) - 10, bottom: Number(ty) }
    })
    expect(texts.map(({ text }) => text).sort()).toEqual(
      ['B', 'Cb', 'Cr', 'Cy', 'G', 'Mg', 'R', 'Yl', 'skin'].sort(),
    )
    const boxes = withClass(picture, 'rect', 'box').map((box) => ({
      text: box['data-box']!,
      left: Number(box.x),
      right: Number(box.x) + Number(box.width),
      top: Number(box.y),
      bottom: Number(box.y) + Number(box.height),
    }))
    const meet = texts.flatMap((a, i) =>
      [...boxes, ...texts.slice(i + 1)]
        .filter((b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom)
        .map((b) => `${a.text} on ${b.text}`),
    )
    expect(meet).toEqual([])
    for (const { left, right } of texts) expect(left >= 0 && right <= side).toBe(true)
  })

  it('draws the camera’s hexagon through the points given', () => {
    const hexagon = [0.1, 0.2, 0.3, -0.1, -0.2, -0.3].map((v) => ({ y: 0, cb: v, cr: -v }))
    const { x, y } = vectorscopeScales(reach)
    const picture = vectorscope({ patches: [], hexagon }, reach, 'test')
    const [own] = withClass(picture, 'path', 'hex own')
    expect(own!.d!.startsWith(`M${x(0.1).toFixed(1)},${y(-0.1).toFixed(1)}L`)).toBe(true)
    expect(own!.d!.match(/[ML]/g)).toHaveLength(6)
  })

  it('grows the reach of all for one patch beyond the boxes, so that cameras compare', () => {
    const corner = { y: 0, cb: 0.5, cr: -0.4 }
    const all = scopeReach([{ patches: [] }, { patches: [], hexagon: [corner] }])
    expect(vectorscopeScales(all).x(corner.cb)).toBeLessThan(side)
    expect(all).toBeGreaterThan(reach)
    // Cb of this blue is 0.75.
    const far = patchesOf([{ name: 'p', source: grey, matched: [0, 0, 1.5], target: grey }])
    expect(scopeReach([{ patches: far }])).toBeGreaterThan(0.75)
  })

  it('does not make everything small for what a camera does before its match, and says that it is cut off', () => {
    const wild = { patches: patchesOf([{ name: 'p', source: [0, 0, 2], matched: grey, target: grey }]) }
    const hexagon = { patches: [], hexagon: [{ y: 0, cb: 3, cr: 0 }] }
    for (const data of [wild, hexagon]) {
      const all = scopeReach([data])
      // The box of 75 % blue, whose Cb is 0.375 (BT.709-6, item 3.3), stays two thirds of the way out.
      expect(vectorscopeScales(all).x(0.375)).toBeGreaterThan(side / 2 + (0.66 * side) / 2)
      expect(leavesScope(data, all)).toBe(true)
    }
    expect(
      leavesScope({ patches: patchesOf([{ name: 'p', source: grey, matched: grey, target: grey }]) }, reach),
    ).toBe(false)
  })
})
