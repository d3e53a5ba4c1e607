import type { Markup } from '../../src/page/markup.ts'

/** All elements of a name in a picture, as their attributes. */
export function elements(picture: Markup, name: string): Record<string, string>[] {
  return [...picture.text.matchAll(new RegExp(`<${name}\\b([^>]*)>`, 'g'))].map(([, attributes]) =>
    Object.fromEntries(
      [...attributes!.matchAll(/([\w-]+)="([^"]*)"/g)].map(([, key, value]) => [key!, value!]),
    ),
  )
}

/** The element of a name that carries exactly this class. */
export function withClass(picture: Markup, name: string, className: string): Record<string, string>[] {
  return elements(picture, name).filter((element) => element.class === className)
}

/** The content of the group of one patch. */
export function patchGroup(picture: Markup, index: number): string {
  const start = picture.text.indexOf(`<g data-p="${index}"`)
  return picture.text.slice(start, picture.text.indexOf('</g>', start))
}

/** Half a unit of the last digit that coordinates are written with. */
export const rounding = 0.05 + 1e-9
