import { isEmbedded, type SharedPictures } from '../plots/camera/splitFrame.ts'
import { isFitted, type Picture, type ShowReport } from '../showReport.ts'
import { type Markup, markup } from './markup.ts'

/**
 * Pictures that stand in the bands of several cameras, as the reference camera's frame does: found, named and defined once,
 * since they are most of the page's weight.
 */
export function sharedPictures(report: ShowReport): { shared: SharedPictures; definitions: Markup } {
  const times = new Map<string, { picture: Picture; count: number }>()
  for (const { pictures } of report.setups.flatMap((setup) => setup.cameras).filter(isFitted)) {
    if (pictures === undefined) continue
    for (const picture of [pictures.before, pictures.after, pictures.target]) {
      if (picture === undefined || !isEmbedded(picture)) continue
      const { count } = times.get(picture.uri) ?? { count: 0 }
      times.set(picture.uri, { picture, count: count + 1 })
    }
  }
  const often = [...times.values()].filter(({ count }) => count > 1)
  return {
    shared: new Map(often.map(({ picture }, i) => [picture.uri, `shared-${i}`])),
    definitions: markup`${often.map(
      ({ picture: { uri, width, height } }, i) =>
        markup`<image id="shared-${i}" href="${uri}" width="${width}" height="${height}" preserveAspectRatio="none"/>`,
    )}`,
  }
}
