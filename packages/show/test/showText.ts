/** A small valid show; tests change one thing in it. */
export const showText = `isochip: 1
title: Harbour Kitchen
chart: chart24
target: { camera: wide }
cameras:
  - { id: wide, encoding: bt709, frames: wide/*.png }
  - id: cross
    encoding: { transfer: { log: { base: 2, logSideSlope: 0.057 } }, primaries: bt2020 }
    shots:
      - { frames: [a.png], corners: [[402,211],[1490,236],[1478,960],[396,930]] }
`

/** The show with one place changed; fails if the place is not there, so that no test passes by an old text. */
export function changed(from: string, to: string): string {
  if (!showText.includes(from)) throw new Error(`the show has no "${from}"`)
  return showText.replace(from, to)
}
