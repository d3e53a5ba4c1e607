import { useMemo } from 'preact/hooks'
import { inks } from '../scopes/inks.ts'
import { paintTrace } from '../scopes/paint.ts'
import { code10, type ScopeStandard } from '../scopes/standard.ts'
import { lumaTrace, paradeTraces, rowOfLevel, type ScopePixels, type Trace } from '../scopes/trace.ts'
import { Raster } from './Raster.tsx'

interface Props {
  readonly pixels: ScopePixels
  /** Of the target camera, behind. */
  readonly target?: ScopePixels | undefined
  readonly standard: ScopeStandard
  readonly range: 'narrow' | 'full'
  /** R′, G′ and B′ beside each other, or luma alone. */
  readonly parade: boolean
}

const size = { width: 360, height: 270 }
const levels = [0, 0.25, 0.5, 0.75, 1]
const gap = 4

/** Levels of the frame from its left to its right: percent at the left, 10-bit codes at the right. */
export function Waveform({ pixels, target, standard, range, parade }: Props) {
  const { width, height } = size
  const picture = useMemo(() => {
    const out = new Uint8ClampedArray(4 * width * height)
    if (!parade) {
      if (target) paintTrace(out, lumaTrace(target, standard, width, height), inks.target, 0.8)
      paintTrace(out, lumaTrace(pixels, standard, width, height), inks.own)
      return out
    }
    const third = Math.floor((width - 2 * gap) / 3)
    const lay = (
      traces: readonly Trace[],
      ink: (i: number) => readonly [number, number, number],
      most: number,
    ) =>
      traces.forEach((trace, i) => {
        paintTrace(out, shifted(trace, i * (third + gap), width), ink(i), most)
      })
    if (target) lay(paradeTraces(target, third, height), () => inks.target, 0.8)
    lay(paradeTraces(pixels, third, height), (i) => [inks.red, inks.green, inks.blue][i]!, 1)
    return out
  }, [pixels, target, standard, parade])
  const what = parade ? 'R′ G′ B′ parade' : `Luma waveform by ${standard.name}`
  return (
    <figure class="scope waveform" role="img" aria-label={`${what}; the target camera’s trace behind it`}>
      <Raster class="trace" width={width} height={height} picture={picture} />
      <svg viewBox={`0 0 ${width} ${height}`} preserveAspectRatio="none" aria-hidden="true">
        {levels.map((level) => (
          <path
            key={level}
            class={level === 0 || level === 1 ? 'level end' : 'level'}
            d={`M0 ${rowOfLevel(level, height)}H${width}`}
          />
        ))}
      </svg>
      {levels.map((level) => (
        <span
          key={level}
          aria-hidden="true"
          class="mark"
          style={{ top: `calc(4px + (100% - 26px) * ${rowOfLevel(level, height) / height})` }}
        >
          <span>{100 * level}</span>
          <span>{code10(level, range)}</span>
        </span>
      ))}
      <figcaption aria-hidden="true">
        {parade ? 'R′ G′ B′' : `Y′ ${standard.name}`} <span>% · 10-bit {range}</span>
      </figcaption>
    </figure>
  )
}

function shifted({ width, height, hits }: Trace, by: number, whole: number): Trace {
  const out = new Uint32Array(whole * height)
  for (let y = 0; y < height; y++) out.set(hits.subarray(y * width, (y + 1) * width), y * whole + by)
  return { width: whole, height, hits: out }
}
