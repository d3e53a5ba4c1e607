import { barTargets, skinDegrees } from '../scopes/bars.ts'
import { scopeLayout } from '../scopes/scopeLayout.ts'
import { code10, differences, type ScopeStandard } from '../scopes/standard.ts'
import { placeOfDifference, rowOfLevel } from '../scopes/trace.ts'

/** A patch on the scopes: what it is and what it aims at, nominal R′G′B′, and where it stands across the frame, 0…1. */
export interface ScopeDot {
  readonly patch: string
  readonly is: readonly [number, number, number]
  readonly aim: readonly [number, number, number]
  readonly across?: number
}

interface Props {
  readonly standard: ScopeStandard
  readonly range: 'narrow' | 'full'
  readonly dots: readonly ScopeDot[]
}

const { width, height, parade, luma, vector } = scopeLayout
const levels = [0, 0.25, 0.5, 0.75, 1]
const third = Math.floor((parade.width - 2 * parade.gap) / 3)
/** Half the side of a target: 2.5 % of the range, common practice. */
const half = 0.025

const x = (value: number) => vector.left + placeOfDifference(value, vector.side)
const y = (value: number) => vector.top + vector.side - placeOfDifference(value, vector.side)
const row = ({ top, height: tall }: { readonly top: number; readonly height: number }, level: number) =>
  top + rowOfLevel(level, tall)

/** What stands over the traces: levels, the targets of colour bars, and the patches of the chart with their aims. */
export function ScopeMarks({ standard, range, dots }: Props) {
  const skin = (skinDegrees * Math.PI) / 180
  const box = x(half) - x(-half)
  return (
    <svg class="scope-marks" viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
      {levels.map((level) => (
        <g key={level} class={level === 0 || level === 1 ? 'level end' : 'level'}>
          <path d={`M${parade.left} ${row(parade, level)}h${parade.width}`} />
          <path d={`M${luma.left} ${row(luma, level)}h${luma.width}`} />
          <text x={parade.left + 2} y={row(parade, level) - 2}>
            {100 * level}
          </text>
          <text class="code" x={parade.width - 2} y={row(parade, level) - 2}>
            {code10(level, range)}
          </text>
          <text x={luma.left + 2} y={row(luma, level) - 2}>
            {100 * level}
          </text>
        </g>
      ))}
      <g class="level">
        <path d={`M${vector.left} ${y(0)}h${vector.side}M${x(0)} ${vector.top}v${vector.side}`} />
        <path class="skin" d={`M${x(0)} ${y(0)}L${x(0.5 * Math.cos(skin))} ${y(0.5 * Math.sin(skin))}`} />
      </g>
      {barTargets(standard, standard.bars[0]).map(({ letters, cb, cr }) => (
        <g key={letters} class="target">
          <rect x={x(cb) - box / 2} y={y(cr) - box / 2} width={box} height={box} />
          <text x={x(1.17 * cb)} y={y(1.17 * cr) + 4}>
            {letters}
          </text>
        </g>
      ))}
      {dots.map((dot) => (
        <PatchMark key={dot.patch} standard={standard} dot={dot} />
      ))}
    </svg>
  )
}

/** A filled dot where a patch is, an open ring where it should be, and a line between them. */
function PatchMark({
  standard: { luma: weights },
  dot: { patch, is, aim, across },
}: {
  readonly standard: ScopeStandard
  readonly dot: ScopeDot
}) {
  const [own, due] = [is, aim].map(([r, g, b]) => differences(weights, r, g, b)) as [
    readonly [number, number, number],
    readonly [number, number, number],
  ]
  const pairs = [
    { from: [x(own[1]), y(own[2])], to: [x(due[1]), y(due[2])] },
    ...(across === undefined
      ? []
      : [
          {
            from: [luma.left + across * luma.width, row(luma, own[0])],
            to: [luma.left + across * luma.width, row(luma, due[0])],
          },
          ...[0, 1, 2].map((c) => {
            const at = parade.left + c * (third + parade.gap) + across * third
            return { from: [at, row(parade, is[c]!)], to: [at, row(parade, aim[c]!)] }
          }),
        ]),
  ] as const
  return (
    <g class="patch">
      <title>{patch}</title>
      {pairs.map(({ from, to }, i) => (
        <g key={i}>
          <path d={`M${from[0]} ${from[1]}L${to[0]} ${to[1]}`} />
          <circle class="aim" cx={to[0]} cy={to[1]} r="4" />
          <circle class="is" cx={from[0]} cy={from[1]} r="2.2" />
        </g>
      ))}
    </g>
  )
}
