import type { RenderedFrame } from '../camera/develop.ts'
import type { Quad } from '../picture/homography.ts'
import { thumbnailPng } from './thumbnailPng.ts'

export interface ContactSheetEntry {
  readonly title: string
  readonly frame: RenderedFrame
  /** Outlines to draw, each from the corner of the first patch: it gets a dot. */
  readonly outlines?: readonly Quad[]
}

const escaped = (text: string) => text.replace(/[&<>"]/g, (c) => `&#${c.charCodeAt(0)};`)

function figure({ title, frame, outlines = [] }: ContactSheetEntry): string {
  const factor = Math.max(1, Math.round(frame.width / 320))
  const image = thumbnailPng(frame, factor).toString('base64')
  const thick = frame.width / 240
  const drawn = outlines.map(
    (quad) =>
      `<polygon points="${quad.map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(' ')}" stroke-width="${thick}"/>` +
      `<circle cx="${quad[0][0].toFixed(1)}" cy="${quad[0][1].toFixed(1)}" r="${2.5 * thick}"/>`,
  )
  return (
    `<figure><svg viewBox="0 0 ${frame.width} ${frame.height}"><image width="${frame.width}" height="${frame.height}" ` +
    `href="data:image/png;base64,${image}"/>${drawn.join('')}</svg><figcaption>${escaped(title)}</figcaption></figure>`
  )
}

/** A page of thumbnails, complete in itself, for a person to look through. */
export function contactSheet(heading: string, entries: readonly ContactSheetEntry[]): string {
  return `<!doctype html><html lang="en"><meta charset="utf-8"><title>${escaped(heading)}</title>
<style>
body { margin: 16px; background: #1d1f21; color: #ccc; font: 12px/1.4 system-ui, sans-serif }
main { display: grid; grid-template-columns: repeat(auto-fill, minmax(300px, 1fr)); gap: 10px }
figure { margin: 0 } svg { width: 100%; display: block } figcaption { padding: 2px 0 6px }
polygon { fill: none; stroke: #ff4fd8 } circle { fill: #ff4fd8 }
</style>
<h1>${escaped(heading)}</h1><main>
${entries.map(figure).join('\n')}
</main></html>
`
}
