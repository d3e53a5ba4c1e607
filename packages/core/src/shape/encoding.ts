import * as z from 'zod'
import { primariesNames } from '../colour/primariesNames.ts'
import { ranges } from '../encoding/range.ts'
import { transferNames } from '../encoding/transferNames.ts'
import { numbers, three } from './numbers.ts'

/** CIE chromaticity x, y. */
export const xy = z.tuple([z.number(), z.number()])

export const range = z.enum(ranges)

export const transferName = z.enum(transferNames)

export const chromaticities = z.strictObject({ red: xy, green: xy, blue: xy, white: xy })

export const primaries = z.union([z.enum(primariesNames), chromaticities]).meta({
  id: 'primaries',
  description: 'Name of published primaries, or CIE x, y of red, green, blue and white.',
})

export const logParameters = z
  .strictObject({
    base: z.number().exactOptional(),
    logSideSlope: z.number().exactOptional(),
    logSideOffset: z.number().exactOptional(),
    linSideSlope: z.number().exactOptional(),
    linSideOffset: z.number().exactOptional(),
    linSideBreak: z.number().exactOptional(),
    linearSlope: z.number().exactOptional(),
  })
  .describe('Parameters of the Log node of the Common LUT Format (SMPTE ST 2136-1).')

export const transferTable = z.strictObject({
  /** At least two code values, strictly rising. */
  code: numbers,
  /** Red, green, blue: as many values as `code`, strictly rising. */
  light: three(numbers),
})

export const power = z.strictObject({ power: z.number().positive() })

export const log = z.strictObject({ log: logParameters })

export const transfer = z
  .union([transferName, power, log, z.strictObject({ table: transferTable })])
  .meta({ id: 'transfer' })

/** With nothing left to defaults. */
export const wholeEncoding = z.object({ transfer, primaries, range }).meta({ id: 'encoding' })

export const encoding = z.union([
  transferName,
  z.strictObject({ transfer, primaries: primaries.exactOptional(), range: range.exactOptional() }),
])
