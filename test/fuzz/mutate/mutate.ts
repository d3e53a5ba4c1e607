import { parse, stringify } from 'yaml'
import type { InputKind, Target } from '../target.ts'
import { byteWays } from './bytes.ts'
import type { Draw } from './draw.ts'
import { longest } from './longest.ts'
import { changePicture } from './picture.ts'
import { textWays } from './text.ts'
import { changeTree, rawJson } from './tree.ts'
import { changeXml } from './xml.ts'

/** An input of which a part is wrong: made of one that is right, in one to four steps. */
export function mutate(
  { kind, change }: Pick<Target, 'kind' | 'change'>,
  samples: readonly Uint8Array[],
  draw: Draw,
): Uint8Array {
  let bytes = draw.of(samples)
  // What knows the structure goes first: afterwards there may be none.
  if (draw.chance(0.65)) bytes = change?.(bytes, draw, samples) ?? structured(kind, bytes, draw)
  if (bytes.length > 0 && draw.chance(0.5)) {
    for (let steps = draw.of([1, 1, 1, 2, 3]); steps > 0; steps--) {
      if (kind !== 'binary' && draw.chance(0.8)) {
        const changed = draw.of(Object.values(textWays))(Buffer.from(bytes).toString('utf8'), draw)
        bytes = Buffer.from(changed.length > longest ? changed.slice(0, longest) : changed, 'utf8')
      } else bytes = draw.of(Object.values(byteWays))(bytes, draw, samples)
    }
  }
  return bytes
}

function structured(kind: InputKind, bytes: Uint8Array, draw: Draw): Uint8Array {
  if (kind === 'binary') return changePicture(bytes, draw)
  const text = Buffer.from(bytes).toString('utf8')
  if (kind === 'xml') return Buffer.from(changeXml(text, draw), 'utf8')
  if (kind === 'text')
    return Buffer.from(draw.of([textWays.number!, textWays.name!, textWays.word!])(text, draw), 'utf8')
  const root = kind === 'json' ? (JSON.parse(text) as unknown) : (parse(text) as unknown)
  for (let steps = draw.of([1, 1, 1, 2, 4]); steps > 0; steps--) changeTree(root, draw)
  return Buffer.from(kind === 'yaml' && draw.chance(0.5) ? asYaml(root) : rawJson(root), 'utf8')
}

/** YAML is a JSON as well: what is nested too deep for its writer stays one. */
function asYaml(root: unknown): string {
  try {
    return stringify(root).replaceAll('\u0001', '')
  } catch {
    return rawJson(root)
  }
}
