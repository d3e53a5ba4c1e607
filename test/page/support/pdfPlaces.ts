/** Where a link of a PDF leads: the object number of the page, and the height on it in points from below. */
export interface PdfPlace {
  readonly page: string
  readonly y: number
}

/**
 * The named destinations of a PDF as Chromium writes it: objects in plain text, one dictionary `/Dests` with
 * `/name [page 0 R /XYZ x y zoom]` (ISO 32000-1, 12.3.2.2 and 12.3.2.3).
 */
export function pdfPlaces(pdf: Buffer): ReadonlyMap<string, PdfPlace> {
  const found = pdf.toString('latin1').matchAll(/\/([\w-]+) \[(\d+) 0 R \/XYZ [\d.-]+ ([\d.-]+)/g)
  return new Map([...found].map(([, name, page, y]) => [name!, { page: page!, y: Number(y) }]))
}
