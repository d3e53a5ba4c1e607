import { describe, expect, it } from 'vitest'
import { fieldShapes, fields } from '../../src/plots/camera/fields.ts'
import { gridCells } from '../support/gridCells.ts'
import { patchesOf } from '../support/patchesOf.ts'
import { elements, patchGroup } from '../support/svg.ts'

const picture = fields(
  patchesOf([
    // IEC 61966-2-1 and BT.709 share black, white and their primaries: those codes are the same in both.
    { name: 'one', source: [1, 0, 0], matched: [0, 1, 0], target: [0, 0, 1], after: 3, before: 9 },
    {
      name: 'two',
      source: [1, 1, 1],
      matched: [0, 0, 0],
      target: [1.2, -0.1, 0],
      after: 3.01,
      excluded: 'clips',
    },
  ]),
  gridCells(1, 2),
  3,
  'test',
)

describe('fields', () => {
  it('lets as shot, matched and target touch each other', () => {
    const drawn = elements({ text: patchGroup(picture, 0) } as typeof picture, 'use')
    expect(drawn.map(({ fill }) => fill)).toEqual(['#ff0000', '#00ff00', '#0000ff'])
    const [shot, matched, target] = drawn.map(({ href }) =>
      elements(fieldShapes, 'path').find(({ id }) => href === `#${id}`),
    )
    // The matched field lies over the right half of the one as shot; the target runs below both.
    expect([shot!.d, matched!.d, target!.d]).toEqual(['M0 0h60v21H0', 'M30 0h30v21h-30', 'M0 21h60V42H0'])
  })

  it('clips to the screen, strikes what was left out, marks what is beyond the limit', () => {
    const two = patchGroup(picture, 1)
    expect(two).toContain('fill="#ff0000"')
    expect(two).toContain('class="struck"')
    expect(two).toContain('left out: clips')
    expect(two).toContain('<path class="beyond"')
    expect(patchGroup(picture, 0)).not.toContain('beyond')
    expect(patchGroup(picture, 0)).toContain('<title>one: 9.00 → 3.00</title>')
    expect(patchGroup(picture, 0)).toContain('<text>3.00</text><text class="b">9.00</text>')
  })
})
