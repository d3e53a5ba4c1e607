import { type PrimariesName, primariesNames, type TransferName, transferNames } from '@isochip/core'
import * as z from 'zod'

export const vec3 = z.tuple([z.number(), z.number(), z.number()])

export const transferName = z.enum(transferNames as [TransferName, ...TransferName[]])

export const range = z.enum(['full', 'narrow'])

const xy = z.tuple([z.number(), z.number()])

export const primaries = z
  .union([
    z.enum(primariesNames as [PrimariesName, ...PrimariesName[]]),
    z.strictObject({ red: xy, green: xy, blue: xy, white: xy }),
  ])
  .describe('Name of published primaries, or CIE x, y of red, green, blue and white.')

export const power = z.strictObject({ power: z.number().positive() })

export const log = z.strictObject({
  log: z
    .strictObject({
      base: z.number().exactOptional(),
      logSideSlope: z.number().exactOptional(),
      logSideOffset: z.number().exactOptional(),
      linSideSlope: z.number().exactOptional(),
      linSideOffset: z.number().exactOptional(),
      linSideBreak: z.number().exactOptional(),
      linearSlope: z.number().exactOptional(),
    })
    .describe('Parameters of the Log node of the Common LUT Format (SMPTE ST 2136-1).'),
})
