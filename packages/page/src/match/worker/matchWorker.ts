import { isIsochipError } from '@isochip/core'
import { planesOf } from '../../live/form/planesOf.ts'
import { grabOf } from '../../live/grabOf.ts'
import type { Answers, Ask, Failure, Told } from '../messages.ts'
import { chartForm } from './chartForm.ts'
import { deliverShow } from './deliverShow.ts'
import { followChart } from './followChart.ts'
import { judgeShow } from './judgeShow.ts'
import { latticeOf } from './look/latticeOf.ts'
import { previewMatch } from './look/previewMatch.ts'
import { scopesOf } from './look/scopesOf.ts'
import { openShow } from './openShow.ts'
import { readSource } from './readSource.ts'
import { rehearse } from './rehearse.ts'

/** Everything that takes longer than the page may be busy is done here. */
async function answer(ask: Ask): Promise<Answers[keyof Answers]> {
  switch (ask.kind) {
    case 'read':
      return await readSource(ask)
    case 'match':
      return await judgeShow(ask)
    case 'preview':
      return await previewMatch(ask)
    case 'deliver':
      return await deliverShow(ask)
    case 'grab':
      return grabOf(await planesOf(ask.frame).finally(() => ask.frame.close()), ask.form)
    case 'follow':
      return await followChart(ask)
    case 'lattice':
      return await latticeOf(ask)
    case 'scopes':
      return await scopesOf(ask)
    case 'form':
      return await chartForm(ask)
    case 'rehearse':
      return await rehearse()
    case 'open':
      return await openShow(ask)
    case 'example':
      // Sensors and spectra, which nobody else needs.
      return await (await import('./renderExample.ts')).renderExample()
  }
}

function failureOf(cause: unknown): Failure {
  if (!isIsochipError(cause)) return { message: (cause as Error).message }
  const { message, hint } = cause
  return hint === undefined ? { message } : { message, hint }
}

const tell = (told: Told, transfer: Transferable[]) => postMessage(told, { transfer })

function carried(value: Answers[keyof Answers]): Transferable[] {
  if (value instanceof ImageBitmap) return [value]
  if ('lattice' in value && value.lattice !== undefined) return [value.lattice.tableRedFastest.buffer]
  return 'frame' in value && value.frame !== undefined ? [value.frame.picture] : []
}

addEventListener('message', ({ data: ask }: MessageEvent<Ask>) => {
  answer(ask).then(
    (value) => tell({ value }, carried(value)),
    (cause: unknown) => tell({ failure: failureOf(cause) }, []),
  )
})
tell({ ready: true }, [])
