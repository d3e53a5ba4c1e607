interface Props {
  /** Mean ΔE00, the newest last. */
  readonly trend: readonly number[]
  readonly tolerance: number
}

const size = { width: 150, height: 46 }
/** So many of the newest are drawn. */
const shown = 12

/** Mean ΔE00 round by round, over the tolerance. */
export function Trend({ trend, tolerance }: Props) {
  const values = trend.slice(-shown)
  const top = Math.max(1.15 * tolerance, ...values)
  const { width, height } = size
  const x = (i: number) => 6 + (i * (width - 12)) / Math.max(values.length - 1, 3)
  const y = (value: number) => height - 5 - (value / top) * (height - 10)
  const words = values.map((value) => value.toFixed(2)).join(', ')
  return (
    <svg
      class="trend"
      viewBox={`0 0 ${width} ${height}`}
      role="img"
      aria-label={`Mean ΔE00, round by round: ${words}; tolerance ${tolerance.toFixed(2)}`}
    >
      <path class="tolerance" d={`M0 ${y(tolerance)}H${width}`} />
      <polyline class="way" points={values.map((value, i) => `${x(i)},${y(value)}`).join(' ')} />
      {values.map((value, i) => (
        <circle
          key={`${i} ${value}`}
          class="round"
          cx={x(i)}
          cy={y(value)}
          r={i === values.length - 1 ? 5 : 3}
        />
      ))}
    </svg>
  )
}
