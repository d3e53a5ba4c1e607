import * as z from 'zod'

/** What a folder of files that a run wrote is like now. Paths are relative to it, with forward slashes. */
export const filesCheck = z.object({
  /** All files of one run, as it wrote them. Others may lie beside them. */
  whole: z.boolean(),
  /** Files of the run, from the list that it wrote last; none where there is no list. */
  files: z.array(z.string()),
  /** There is no such list, or not all of it: no run has come to its end here, or one of an older version. */
  listed: z.boolean(),
  /** Files whose bytes are not those of the run that wrote the list: of another run, or changed. */
  changed: z.array(z.string()),
  missing: z.array(z.string()),
  /** Files that isochip wrote and that are not on the list: left from another run. */
  left: z.array(z.string()),
  /** A run is at work here (`held`), or ended before its end (`left`). */
  run: z.enum(['held', 'left']).exactOptional(),
})

/** The state of a folder as a document, `files/1`. */
export const filesCheckFile = z
  .object({
    isochip: z.literal('files/1').describe('Version of this format.'),
    folder: z.string().describe('As it was given.'),
    ...filesCheck.shape,
  })
  .describe('Are the files in a folder those of one run, whole?')
