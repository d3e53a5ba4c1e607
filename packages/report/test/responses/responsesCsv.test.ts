import { describe, expect, it } from 'vitest'
import { responsesCsv } from '../../src/index.ts'
import { inventedResponses } from '../support/inventedResponses.ts'

describe('responsesCsv', () => {
  const [head, ...rows] = responsesCsv(inventedResponses()).trimEnd().split('\r\n')
  const heads = head!.split(',')
  const at = (row: string, name: string) => row.split(',')[heads.indexOf(name)]

  it('has a row a map, both ways, cameras first, then the observer', () => {
    expect(rows.map((row) => `${at(row, 'from')} ${at(row, 'to')}`)).toEqual([
      'wide cross',
      'cross wide',
      'wide observer',
      'observer wide',
      'cross observer',
      'observer cross',
    ])
    expect(new Set(rows.map((row) => row.split(',').length))).toEqual(new Set([heads.length]))
  })

  it('states terms by row and column with their intervals, angles of the pair, the index of where it comes from', () => {
    const [there, back, seen] = rows
    expect([at(there!, 'm12'), at(there!, 'm31_low'), at(there!, 'm31_high')]).toEqual([
      '0.12',
      '0.27',
      '0.33',
    ])
    expect([at(there!, 'angle_3'), at(back!, 'angle_3'), at(seen!, 'angle_3')]).toEqual(['2.5', '2.5', '6'])
    expect([at(there!, 'metamerism_index_from'), at(back!, 'metamerism_index_from')]).toEqual(['87.94', ''])
  })
})
