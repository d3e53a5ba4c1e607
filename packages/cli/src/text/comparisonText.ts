import type { ResponseMap } from '@isochip/core'
import type { SetupComparison } from '@isochip/show'
import type { Comparison } from '@isochip/show/node'
import { wrapped } from './wrapped.ts'

const number = (value: number, width = 8) => value.toFixed(4).padStart(width)

/** A comparison as lines of at most 80 columns. */
export function comparisonText({ title, chart, setups, assumptions }: Omit<Comparison, 'failures'>): string {
  const lines = [title, `responses to chart ${chart}, linear light in each camera’s own primaries`]
  for (const setup of setups) lines.push('', `── ${setup.setup} ──`, ...setupLines(setup))
  lines.push(
    '',
    'Intervals: 95 %, by a wild bootstrap of 500 fits. Residual: ΔE00 on scene light',
    'after the matrix that leaves least. Observer: the values of the chart as XYZ,',
    'relative to D65. Assumptions of the metamerism index:',
    ...assumptions.flatMap((text) => wrapped(`- ${text}`)),
  )
  return `${lines.join('\n')}\n`
}

function setupLines({ maps, pairs, observer, metamerism, cautions }: SetupComparison): string[] {
  const lines = maps.flatMap(mapLines)
  for (const { a, b, principalAngles } of pairs)
    lines.push(
      `${a} and ${b}: principal angles ${principalAngles.map((angle) => `${angle.toFixed(2)}°`).join(', ')}`,
    )
  for (const { camera, toObserver, principalAngles } of observer) {
    lines.push(...mapLines(toObserver))
    lines.push(
      `${camera} and the observer: principal angles ${principalAngles.map((angle) => `${angle.toFixed(2)}°`).join(', ')}`,
    )
  }
  for (const [camera, { index, meanDE76, patches }] of Object.entries(metamerism))
    lines.push(
      `${camera}: metamerism index ${index.toFixed(1)} (mean ΔE*ab ${meanDE76.toFixed(2)} over ${patches} patches)`,
    )
  return [...lines, ...cautions.flatMap((caution) => wrapped(`caution: ${caution}`))]
}

function mapLines(map: ResponseMap): string[] {
  const rows = map.matrix.map((row, r) => {
    const terms = row.map((value, c) => {
      const [low, high] = map.interval[r]![c]!
      return `${number(value)} ±${number((high - low) / 2, 7)}`
    })
    return `  ${terms.join('   ')}`
  })
  const { mean, p95, max, worst } = map.remaining
  return [
    `${map.from} → ${map.to}`,
    ...rows,
    `  ${map.patches} patches, rank ${map.rank}, condition ${map.condition.toFixed(1)}, noise gain ${map.noiseAmplification.map((v) => v.toFixed(2)).join(', ')}`,
    `  residual: mean ${mean.toFixed(2)}, 95 % ${p95.toFixed(2)}, worst ${max.toFixed(2)} (${worst})`,
  ]
}
