import { useMemo } from 'preact/hooks'
import { type BarTarget, barTargets, skinDegrees } from '../scopes/bars.ts'
import { inks } from '../scopes/inks.ts'
import { paintTrace } from '../scopes/paint.ts'
import type { ScopeStandard } from '../scopes/standard.ts'
import { placeOfDifference, type ScopePixels, vectorTrace } from '../scopes/trace.ts'
import { Raster } from './Raster.tsx'

interface Props {
  readonly pixels: ScopePixels
  /** Of the target camera, behind. */
  readonly target?: ScopePixels | undefined
  readonly standard: ScopeStandard
}

const side = 280
/** Half the side of a target: 2.5 % of the range, common practice. */
const half = 0.025
const x = (value: number) => placeOfDifference(value, side)
const y = (value: number) => side - placeOfDifference(value, side)

/** Colour differences of the frame over the targets of its standard's colour bars. */
export function Vectorscope({ pixels, target, standard }: Props) {
  const picture = useMemo(() => {
    const out = new Uint8ClampedArray(4 * side * side)
    if (target) paintTrace(out, vectorTrace(target, standard, side), inks.target, 0.8)
    paintTrace(out, vectorTrace(pixels, standard, side), inks.own)
    return out
  }, [pixels, target, standard])
  const [lower, full] = standard.bars
  const skin = (skinDegrees * Math.PI) / 180
  const box = x(half) - x(-half)
  const outward = ({ cb, cr }: BarTarget, by: number) => ({ left: x(cb * by), top: y(cr * by) })
  return (
    <figure
      class="scope vectorscope"
      role="img"
      aria-label={`Vectorscope by ${standard.name} with the targets of ${Math.round(100 * lower)} % and 100 % bars; the target camera’s trace behind it`}
    >
      <Raster class="trace" width={side} height={side} picture={picture} />
      <svg viewBox={`0 0 ${side} ${side}`} aria-hidden="true">
        <path class="level" d={`M0 ${y(0)}H${side}M${x(0)} 0V${side}`} />
        <path class="skin" d={`M${x(0)} ${y(0)}L${x(0.5 * Math.cos(skin))} ${y(0.5 * Math.sin(skin))}`} />
        {barTargets(standard, lower).map((bar) => {
          const { left, top } = outward(bar, 1.17)
          return (
            <g key={bar.letters}>
              <rect class="box" x={x(bar.cb) - box / 2} y={y(bar.cr) - box / 2} width={box} height={box} />
              <text x={left} y={top + 4}>
                {bar.letters}
              </text>
            </g>
          )
        })}
        {barTargets(standard, full).map(({ letters, cb, cr }) => (
          <path key={letters} class="full" d={`M${x(cb) - 4} ${y(cr)}h8m-4 -4v8`} />
        ))}
      </svg>
      <figcaption aria-hidden="true">
        {standard.name} <span>□ {Math.round(100 * lower)} % · + 100 %</span>
      </figcaption>
    </figure>
  )
}
