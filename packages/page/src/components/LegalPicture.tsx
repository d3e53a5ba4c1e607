import { useMemo } from 'preact/hooks'
import { inks } from '../scopes/inks.ts'
import { legalMap } from '../scopes/legalRange.ts'
import { paintLegal } from '../scopes/paint.ts'
import type { ScopeStandard } from '../scopes/standard.ts'
import type { ScopePixels } from '../scopes/trace.ts'
import { Raster } from './Raster.tsx'

const percent = (share: number) =>
  `${share === 0 ? '0' : share < 0.0005 ? 'under 0.1' : (100 * share).toFixed(1)} %`

/** The frame in grey, with what leaves the legal range in colour. */
export function LegalPicture({
  pixels,
  standard,
}: {
  readonly pixels: ScopePixels
  readonly standard: ScopeStandard
}) {
  const { map, picture } = useMemo(() => {
    const found = legalMap(pixels, standard)
    return { map: found, picture: paintLegal(pixels, found, inks.below, inks.above) }
  }, [pixels, standard])
  const words = standard.limits
    ? `below the range of EBU R 103: ${percent(map.below)}, above: ${percent(map.above)}`
    : 'log or linear: no legal range'
  return (
    <figure class="scope legal" role="img" aria-label={`The frame; ${words}`}>
      <Raster class="frame" width={pixels.width} height={pixels.height} picture={picture} />
      <figcaption aria-hidden="true">
        {standard.limits ? (
          <>
            EBU R 103 <span class="below">below {percent(map.below)}</span>{' '}
            <span class="above">above {percent(map.above)}</span>
          </>
        ) : (
          words
        )}
      </figcaption>
    </figure>
  )
}
