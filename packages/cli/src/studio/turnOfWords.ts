import { IsochipError } from '@isochip/core'
import { checkedTurn, type PanelTurn } from './panel.ts'

/**
 * A turn as it is typed: `exposure=0.35`, `R=-3.1`, `pedestal=-2,-1.8,-2.3` for red, green and blue, `R-G=0.12`. A minus as
 * the advice prints it is taken as well.
 *
 * @throws IsochipError `usage`
 */
export function turnOfWords(words: readonly string[]): PanelTurn {
  const pairs = words.flatMap((word): [string, number][] => {
    const [, name, values] = /^([^=]+)=([-+\d.,]+)$/.exec(word.replaceAll('−', '-')) ?? []
    if (name === undefined)
      throw new IsochipError('usage', `"${word}" is no turn, expected a control and a number: exposure=0.35`)
    const numbers = values!.split(',').map(Number)
    if (name === 'pedestal' && numbers.length === 3)
      return numbers.map((by, i) => [`pedestal ${'RGB'[i]}`, by])
    return [[name, numbers.length === 1 ? numbers[0]! : Number.NaN]]
  })
  return checkedTurn(Object.fromEntries(pairs))
}
