import { coordinate as c } from '../../digits.ts'
import { type Markup, markup } from '../../page/markup.ts'
import type { Picture } from '../../showReport.ts'
import { picture } from '../frame.ts'

/** Only pictures that stand in the page itself are let in. */
export const isEmbedded = ({ uri }: Picture) =>
  /^data:image\/(png|jpeg|webp);base64,[A-Za-z0-9+/=]+$/.test(uri)

/** Pictures that the page holds only once, by address: the id under which they are defined. */
export type SharedPictures = ReadonlyMap<string, string>

export interface Band {
  readonly name: string
  readonly stage: 'as' | 'mt' | 'target'
  readonly picture: Picture
}

/**
 * One frame in slanting bands: as shot, matched and, where there is one, the target's own frame, each in its place.
 * Where the page shows one stage only, the style lets its band run under the other's, up to the target. `id` has to be unique in the page; pictures in `shared` are defined elsewhere in it.
 */
export function splitFrame(
  bands: readonly Band[],
  { id, shared }: { readonly id: string; readonly shared: SharedPictures },
  label: string,
): Markup {
  const { width, height } = bands[0]!.picture
  const slant = height * 0.12
  const shown = (uri: string) => {
    const known = shared.get(uri)
    return known === undefined
      ? markup`<image href="${uri}" width="${width}" height="${height}" preserveAspectRatio="none"`
      : markup`<use href="#${known}"`
  }
  const edge = (i: number, low: boolean) =>
    i === 0 ? 0 : i === bands.length ? width : (width * i) / bands.length + (low ? -slant : slant) / 2
  const content = bands.map(({ name, stage, picture: { uri } }, i) => {
    const corners = [
      [edge(i, false), 0],
      [edge(i + 1, false), 0],
      [edge(i + 1, true), height],
      [edge(i, true), height],
    ] as const
    const points = corners.map(([x, y]) => `${c(x)},${c(y)}`).join(' ')
    const middle = (width * (i + 0.5)) / bands.length
    const type = width / 32
    return markup`<clipPath id="${id}-${i}"><polygon points="${points}"/></clipPath>${shown(uri)} class="${stage}" clip-path="url(#${id}-${i})"/><polygon class="seam ${stage}" points="${points}"/><text class="mid ${stage}" font-size="${c(type)}" x="${c(middle)}" y="${c(height + type * 1.4)}">${name}</text>`
  })
  return picture('split', label, { width, height: height + (width / 32) * 2 }, content)
}
