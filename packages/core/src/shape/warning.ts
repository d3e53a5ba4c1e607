import * as z from 'zod'
import type { WarningCode } from '../warningCode.ts'

export const place = z.object({
  file: z.string().exactOptional(),
  /** Line and column count from 1. */
  line: z.number().exactOptional(),
  column: z.number().exactOptional(),
  camera: z.string().exactOptional(),
  setup: z.string().exactOptional(),
  patch: z.string().exactOptional(),
})

export const warning = z
  .object({
    /** Stable name, for scripts. A file of a later version may have others. */
    code: z.string().pipe(z.custom<WarningCode>()),
    /** Plain words, with the numbers. */
    message: z.string(),
    place: place.exactOptional(),
  })
  .meta({ id: 'warning' })
