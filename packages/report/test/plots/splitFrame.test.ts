import { describe, expect, it } from 'vitest'
import { isEmbedded, splitFrame } from '../../src/plots/camera/splitFrame.ts'
import { elements } from '../support/svg.ts'

const picture = { uri: 'data:image/png;base64,iVBORw0KGgo=', width: 480, height: 270 }

describe('splitFrame', () => {
  it('shares the width among the bands without a gap', () => {
    const split = splitFrame(
      (['as', 'mt', 'target'] as const).map((stage) => ({ name: stage, stage, picture })),
      { id: 'x', shared: new Map() },
      'test',
    )
    const bands = elements(split, 'polygon')
      .filter((e) => e.class === undefined)
      .map((e) => e.points!.split(' ').map((point) => point.split(',').map(Number)))
    expect(bands).toHaveLength(3)
    expect([bands[0]![0], bands[0]![3]]).toEqual([
      [0, 0],
      [0, 270],
    ])
    for (const i of [0, 1]) expect([bands[i]![1], bands[i]![2]]).toEqual([bands[i + 1]![0], bands[i + 1]![3]])
    expect([bands[2]![1], bands[2]![2]]).toEqual([
      [480, 0],
      [480, 270],
    ])
  })

  it('refers to a picture that the page holds elsewhere', () => {
    const shared = new Map([[picture.uri, 'shared-0']])
    const split = splitFrame([{ name: 'as shot', stage: 'as', picture }], { id: 'x', shared }, 'test')
    expect(elements(split, 'image')).toEqual([])
    expect(elements(split, 'use').map(({ href }) => href)).toEqual(['#shared-0'])
  })

  it('lets only pictures in that stand in the page itself', () => {
    expect(isEmbedded(picture)).toBe(true)
    for (const uri of [
      'a.png',
      'https:x/a.png',
      'data:text/html;base64,AAAA',
      'data:image/svg+xml;base64,AAAA',
      'data:image/png;base64,"onload',
    ]) {
      expect(isEmbedded({ ...picture, uri })).toBe(false)
    }
  })
})
