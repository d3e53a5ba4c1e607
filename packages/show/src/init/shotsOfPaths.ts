import { type NamedShot, shotOfPath } from './shotOfPath.ts'

/**
 * A folder of a camera's card: the camera's letter, the number of its card, and perhaps a date or an identity after it
 * (`A001`, `B012_1128`). Common practice, no source.
 */
const card = /^([A-Z])(\d{3,4})(?:[-_ ].*)?$/

interface OnCard {
  /** Folders above the card's. */
  readonly above: string
  readonly letter: string
  readonly number: string
}

function cardOf(path: string): OnCard | undefined {
  const folders = path.split('/').slice(0, -1)
  const at = folders.findIndex((folder) => card.test(folder))
  const [, letter, number] = card.exec(folders[at] ?? '') ?? []
  if (letter === undefined || number === undefined) return undefined
  return { above: folders.slice(0, at).join('-'), letter, number }
}

/** A shot, and whether it is a card: a card holds a day's clips, of which one may show the chart. */
export interface PathShot extends NamedShot {
  readonly card: boolean
}

/**
 * Camera and setup of each path, as `shotOfPath` has them; but where cards of several cameras lie side by side, they are
 * cameras of one setup, which is called by the folders above. Several cards of one camera are several setups.
 *
 * @param paths from the folder of the show, with forward slashes
 */
export function shotsOfPaths(paths: readonly string[]): PathShot[] {
  const cards = paths.map(cardOf)
  // Numbers of the cards of each letter, by the folders above: a card holds thousands of stills.
  const lying = new Map<string, Map<string, Set<string>>>()
  for (const one of cards) {
    if (one === undefined) continue
    const letters = lying.get(one.above) ?? new Map<string, Set<string>>()
    lying.set(one.above, letters)
    letters.set(one.letter, (letters.get(one.letter) ?? new Set()).add(one.number))
  }
  return paths.map((path, i) => {
    const own = cards[i]
    const letters = own && lying.get(own.above)
    if (own === undefined || letters === undefined || letters.size < 2)
      return { ...shotOfPath(path), card: false }
    const { above, letter, number } = own
    const several = [...letters.values()].some((numbers) => numbers.size > 1)
    const setup = [above, several ? number : ''].filter((part) => part !== '').join('-')
    return { camera: letter, setup: setup === '' ? 'default' : setup, card: true }
  })
}
