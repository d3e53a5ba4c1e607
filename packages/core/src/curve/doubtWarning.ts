import type { Encoding, TransferSpec } from '../encoding/encoding.ts'
import type { Warning } from '../errors.ts'
import type { EncodingDoubt } from '../match/result.ts'

/** What is in doubt about a declared encoding, in words for the set. */
export function doubtWarning({ spec }: Encoding, doubt: EncodingDoubt): Warning {
  const { declared, alternatives, remedies } = doubt
  const [best] = alternatives
  const range =
    best !== undefined && best.encoding.transfer === spec.transfer && best.encoding.range !== spec.range
  const others = alternatives.map(
    ({ encoding, mean }) =>
      `${curveName(encoding.transfer)} in ${encoding.range} range, mean ΔE00 ${mean.toFixed(2)}`,
  )
  const ways = remedies.map(
    ({ curve, model, leaveOneOut }) =>
      `fit: { curve: ${curve}${model === 'lift-gain-matrix' ? '' : `, model: ${model}`} } leaves ${leaveOneOut.toFixed(2)}`,
  )
  const curve = `${curveName(spec.transfer)}, ${spec.range} range`
  const black =
    doubt.black === undefined
      ? []
      : [
          `black reads ${(100 * doubt.black).toFixed(1)} % of white, less than no light, by the curve declared for this camera (${curve}): it is crushed in the camera, or full range is read as narrow`,
        ]
  const toe =
    doubt.toe === undefined || black.length > 0
      ? []
      : [
          `dark tones are ${doubt.toe}: by the curve declared for this camera (${curve}) they read ${doubt.toe === 'crushed' ? 'lower' : 'higher'} beside the others than any camera sees them, and no pedestal explains it`,
        ]
  // Where black or a toe alone speaks against it, the rest may well be explained.
  const rest =
    black.length + toe.length > 0 && others.length === 0
      ? []
      : [
          `the ${range ? 'range' : 'curve'} declared for this camera (${curve}) does not explain its grey scale and colours: mean ΔE00 ${declared.mean.toFixed(2)}, leave-one-out ${declared.leaveOneOut.toFixed(2)}`,
        ]
  const message = [
    ...rest,
    ...black,
    ...toe,
    ...(others.length === 0 ? [] : [`it looks more like ${others.join(', or ')}`]),
    ...(ways.length === 0 ? [] : [`${ways.join('; ')} (leave-one-out)`]),
    'look at gamma or log setting, range, knee, black stretch and picture style of the camera',
  ]
  return { code: range ? 'range-doubtful' : 'encoding-doubtful', message: message.join('; ') }
}

function curveName(transfer: TransferSpec): string {
  if (typeof transfer === 'string') return transfer
  if ('power' in transfer) return `power ${Number(transfer.power.toFixed(3))}`
  return 'log' in transfer ? 'a log curve by its numbers' : 'a curve by a table'
}
