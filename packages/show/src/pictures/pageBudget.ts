/** What the pictures of one shot may take of the report page. */
export interface PageBudget {
  /** Longest side of the frames as shot and matched, pixels: the same in all of a show, so that they lie side by side. */
  readonly side: number
  /** Bytes of the page for all pictures of the shot. */
  readonly bytes: number
}

/** Heavier a page should not be: it goes by mail, and opens at once on any computer. */
const pageBytes = 1_500_000

/** Text and drawings: seen 14 kB per shot and 1.15 kB more per patch. */
const drawings = (shots: number, patches: number) => 30_000 + shots * (14_000 + 1150 * patches)

/** Below this a picture shows nothing any more: the page gets heavier instead. */
const leastBytes = 24_000

/** Beyond this a page with pictures would no longer open. */
const mostShots = 40

/** Shares what the drawings leave of a page among its shots; undefined where there are too many for pictures. */
export function pageBudget(shots: number, patches: number): PageBudget | undefined {
  if (shots > mostShots) return undefined
  const bytes = Math.max(leastBytes, (pageBytes - drawings(shots, patches)) / shots)
  return { side: bytes >= 90_000 ? 480 : bytes >= 50_000 ? 400 : 320, bytes }
}
