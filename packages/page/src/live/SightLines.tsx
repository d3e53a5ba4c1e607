import type { Sight } from './sight.ts'

/** Outlines of the areas that a reading would sample, over the running picture. */
export function SightLines({ sight: { width, height, areas } }: { readonly sight: Sight }) {
  const way = areas
    .map(({ quad }) => `M${quad.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join('L')}Z`)
    .join('')
  return (
    <svg class="sight-lines" viewBox={`0 0 ${width} ${height}`} preserveAspectRatio="none" aria-hidden="true">
      <path class="under" d={way} />
      <path class="over" d={way} />
    </svg>
  )
}
