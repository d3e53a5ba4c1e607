import type { OpenPage } from '../../../packages/report/test/support/openPage.ts'

/** A place in a PDF: the object number of its page, and the height on it in points from below. */
interface PdfPlace {
  readonly page: string
  readonly y: number
}

/** The page as a PDF: how many sheets, and where the top and the end of every figure lie, in the order of the page. */
export async function printed(
  page: OpenPage['page'],
): Promise<{ sheets: number; places: { top: PdfPlace; end: PdfPlace }[] }> {
  // Each figure is given a place at its top and one at its end, with links that make Chromium write them down.
  const count = (await page.evaluate(`{
    const links = document.createElement('p')
    const figures = document.querySelectorAll('figure')
    figures.forEach((figure, i) => {
      for (const [where, what] of [['afterbegin', 'top'], ['beforeend', 'end']]) {
        figure.insertAdjacentHTML(where, '<span id="place-' + i + '-' + what + '"></span>')
        links.insertAdjacentHTML('beforeend', '<a href="#place-' + i + '-' + what + '">x</a> ')
      }
    })
    document.body.append(links)
    figures.length
  }`)) as number
  const pdf = (await page.pdf({ preferCSSPageSize: true })).toString('latin1')
  // Named destinations as Chromium writes them, in plain text: `/name [page 0 R /XYZ x y zoom]` (ISO 32000-1, 12.3.2).
  const found = pdf.matchAll(/\/(place-\d+-\w+) \[(\d+) 0 R \/XYZ [\d.-]+ ([\d.-]+)/g)
  const named = new Map([...found].map(([, name, sheet, y]) => [name!, { page: sheet!, y: Number(y) }]))
  const place = (i: number, what: string) => {
    const at = named.get(`place-${i}-${what}`)
    if (at === undefined) throw new Error(`figure ${i} has no ${what} in the PDF`)
    return at
  }
  return {
    sheets: pdf.match(/\/Type\s*\/Page\b(?!s)/g)?.length ?? 0,
    places: Array.from({ length: count }, (_, i) => ({ top: place(i, 'top'), end: place(i, 'end') })),
  }
}
