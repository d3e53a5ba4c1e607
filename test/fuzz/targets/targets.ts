import type { Target } from '../target.ts'
import { commandTargets } from './command.ts'
import { keptTargets } from './kept.ts'
import { otherTargets } from './others.ts'
import { pageTargets } from './page.ts'
import { parserTargets } from './parsers.ts'
import { pictureTargets } from './pictures.ts'

export const targets: readonly Target[] = [
  ...parserTargets,
  ...pictureTargets,
  ...pageTargets,
  ...keptTargets,
  ...otherTargets,
  ...commandTargets,
]

export function targetNamed(name: string): Target {
  const target = targets.find((one) => one.name === name)
  if (target === undefined) throw new Error(`there is no target "${name}"`)
  return target
}
