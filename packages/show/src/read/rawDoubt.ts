import type { Warning } from '@isochip/core'
import type { Frame } from '@isochip/frames'

/** Camera raw holds light in proportion, black at 0 and full at 1: another encoding that is declared for it is wrong. */
export function rawDoubt(
  { linear = false }: Pick<Frame, 'linear'>,
  { transfer, range }: { readonly transfer: unknown; readonly range: string },
): readonly Warning[] {
  if (!linear || ((transfer === 'linear' || transfer === 'measured') && range === 'full')) return []
  return [
    {
      code: 'encoding-doubtful',
      message:
        'the frame is camera raw, which holds linear light in full range, and another encoding is declared: set “encoding: linear”',
    },
  ]
}
