import { type Primaries, rgbToXyz } from '../colour/primaries.ts'
import { temperatureOf } from '../colour/temperature.ts'
import { apply3 } from '../linear/mat3.ts'
import { type Chain, gainsOf } from './chain/chain.ts'
import type { TurnStage } from './stagesDown.ts'

/**
 * What a turn of the gains does to white, as a filter before the lens or a lamp would. A white that they bring right now stands, on
 * screen, where the matrices after them put 1/g.
 *
 * @param u of the turn, as it acts. @param primaries of the camera
 */
function filterOf(
  { afterGains }: Chain,
  u: ArrayLike<number>,
  primaries: Primaries,
): NonNullable<TurnStage['filter']> {
  const [red, , blue] = gainsOf([0, u[1]!, u[2]!])
  const [X, Y, Z] = apply3(rgbToXyz(primaries), apply3(afterGains, [1 / red, 1, 1 / blue]))
  const from = temperatureOf([X / (X + Y + Z), Y / (X + Y + Z)])
  const to = temperatureOf(primaries.white)
  return { mired: to.mired - from.mired, tint: 1000 * (to.duv - from.duv) }
}

/** The stages with what the gains do to white. */
export const withFilter = (
  stages: readonly TurnStage[],
  chain: Chain,
  u: ArrayLike<number>,
  primaries: Primaries,
): TurnStage[] =>
  stages.map((stage) =>
    stage.group === 'gains' ? { ...stage, filter: filterOf(chain, u, primaries) } : stage,
  )
