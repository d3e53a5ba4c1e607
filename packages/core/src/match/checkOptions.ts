import { IsochipError } from '../errors.ts'
import { modelKinds } from '../model/model.ts'
import type { FitOptions } from './options.ts'

const words = {
  objective: ['perceptual', 'linear'],
  view: ['scene', 'display'],
  evenness: ['off', 'report', 'divide'],
}

/**
 * Callers in plain JavaScript have no compiler to tell them: a word that is not one of an option's is a fault, and
 * never the option's last branch.
 *
 * @param models the words for `model` where these are not the kinds alone.
 * @throws IsochipError `usage`
 */
export function checkOptions(
  options: Pick<FitOptions, 'model' | 'objective' | 'view' | 'evenness'>,
  models: readonly string[] = modelKinds,
): void {
  for (const [option, known] of Object.entries({ model: models, ...words })) {
    const value: unknown = options[option as keyof typeof options]
    if (value === undefined || known.some((word) => word === value)) continue
    throw new IsochipError(
      'usage',
      `the option ${option} is ${JSON.stringify(value)}, expected one of ${known.join(', ')}`,
    )
  }
}
