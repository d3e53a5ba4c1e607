import { given, resolveEncoding } from '@isochip/core'
import type { ShowEncoding } from '@isochip/show'
import { type ScopeStandard, scopeStandard } from '../scopes/standard.ts'

/** By which scopes show a camera's own pictures; a curve that is measured or a table is shown as video, without limits. */
export function standardOf(encoding: ShowEncoding): ScopeStandard {
  const whole = typeof encoding === 'string' ? { transfer: encoding } : encoding
  const { transfer, primaries } = whole
  const known = transfer !== 'measured' && !(typeof transfer === 'object' && 'table' in transfer)
  const { spec } = resolveEncoding({
    transfer: known ? (transfer as 'bt709') : 'bt709',
    ...given({ primaries }),
  })
  return known ? scopeStandard(spec) : { ...scopeStandard(spec), limits: false }
}
