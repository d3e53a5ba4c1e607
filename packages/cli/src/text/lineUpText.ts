import {
  followWords,
  instructions,
  matrixConvention,
  outcomeWords,
  restsOn,
  roundWords,
  touchedWords,
} from '@isochip/report'
import type { LineUpRoundOfCamera } from '@isochip/show/node'
import { wrapped } from './wrapped.ts'

const figure = (value: number) => value.toFixed(2)

/** A camera's round as lines of at most 80 columns: where it stands, what to turn, what is then left. */
export function lineUpText(event: LineUpRoundOfCamera): string {
  const { camera, round, trend, within, kept, touched, forgotten, encoding, controls } = event
  const steps = instructions(kept.asked, kept.stages, encoding.range, controls)
  const lines = [
    `── ${camera}, round ${round}${event.type === 'standing' ? ', no new shot' : ''} ── ${roundWords(steps.length, within).text}`,
    `  mean ΔE00  ${trend.slice(-8).map(figure).join(' → ')}   (a LUT would leave ${figure(kept.withLut)})`,
  ]
  for (const words of restsOn(kept, encoding)) lines.push(...wrapped(words))
  if (touched) lines.push(...wrapped(touchedWords(forgotten)))
  for (const [i, step] of steps.entries()) {
    const [first, ...more] = step.lines
    const head = `  ${i + 1} ${step.control.padEnd(20)}`
    lines.push(`${head}${first}`)
    for (const line of more) lines.push(`${' '.repeat(head.length)}${line}`)
    if (step.group === 'matrix') lines.push(`    ${matrixConvention}`)
    lines.push(`${' '.repeat(head.length)}${outcomeWords(step, i + 1)}`)
  }
  if (steps.length === 0 && !within)
    lines.push(
      ...wrapped('What is left is for the LUT: the sensors see differently, or the light on the chart did.'),
    )
  else if (steps.length > 0) lines.push(...wrapped(`  ${followWords(within)}`))
  return `${lines.join('\n')}\n`
}
