import { IsochipError } from '@isochip/core'
import { isMeasured, placeChart, sampleShot } from '@isochip/show'
import { formByChart } from '../../live/worker/formByChart.ts'
import type { Answers, Ask } from '../messages.ts'
import { framesOf } from './framesOf.ts'
import { chartOf, encodingOf } from './planOf.ts'

/** What the chart in a running input says of its signal. @throws IsochipError where there is none, or it cannot tell */
export async function chartForm({
  grab,
  form,
  signal,
  chart: name,
  files,
  encoding: declared,
}: Extract<Ask, { kind: 'form' }>): Promise<Answers['form']> {
  const [chart, encoding] = await Promise.all([chartOf(name, files), encodingOf(declared, files)])
  if (isMeasured(encoding))
    throw new IsochipError('encoding-unknown', 'a curve that is to be measured hides what the range does', {
      hint: 'choose the encoding of the camera first, or send colour bars',
    })
  const frames = await framesOf({ grab })
  const { clip: _, ...looked } = frames[0]!
  const { readings } = sampleShot(frames, placeChart(looked, chart, undefined), { chart, encoding })
  return formByChart(readings, form, { kind: signal, chart, encoding })
}
