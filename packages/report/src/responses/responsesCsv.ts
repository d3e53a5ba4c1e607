import { csvText } from '../data/csvText.ts'
import { allMaps, type ResponseReport } from './responseReport.ts'

const channels = [0, 1, 2] as const
const head = [
  'setup',
  'from',
  'to',
  'patches',
  'rank',
  'condition',
  ...channels.map((i) => `noise_${i + 1}`),
  'dE00_left_mean',
  'dE00_left_p95',
  'dE00_left_max',
  'dE00_left_worst',
  ...channels.map((i) => `angle_${i + 1}`),
  ...channels.flatMap((r) =>
    channels.flatMap((c) => ['', '_low', '_high'].map((part) => `m${r + 1}${c + 1}${part}`)),
  ),
  'metamerism_index_from',
]

/**
 * One row a map, both ways; RFC 4180, UTF-8.
 *
 *     setup,from,to,patches,rank,condition,noise_1,…,m11,m11_low,m11_high,…,metamerism_index_from
 *     day,wide,cross,24,3,14.2,…
 *
 * Terms are m<row><column>: `to` = M · `from`. Angles in degrees, intervals of 95 %. Columns are only ever added at the
 * end.
 */
export function responsesCsv({ setups }: ResponseReport): string {
  const rows = setups.flatMap((setup) =>
    allMaps(setup).map(({ map, angles }) => [
      setup.setup,
      map.from,
      map.to,
      map.patches,
      map.rank,
      map.condition,
      ...map.noiseAmplification,
      map.remaining.mean,
      map.remaining.p95,
      map.remaining.max,
      map.remaining.worst,
      ...channels.map((i) => angles[i]),
      ...channels.flatMap((r) =>
        channels.flatMap((c) => [map.matrix[r][c], map.interval[r]![c]![0], map.interval[r]![c]![1]]),
      ),
      setup.metamerism[map.from]?.index,
    ]),
  )
  return csvText([head, ...rows])
}
