import * as z from 'zod'

export const numbers = z.array(z.number())

/** Three numbers: RGB, XYZ or Lab as the field says. */
export const vec3 = z.tuple([z.number(), z.number(), z.number()]).meta({ id: 'vec3' })

/** 3×3, row by row; vectors are columns. */
export const mat3 = z.tuple([vec3, vec3, vec3]).meta({ id: 'mat3' })

/**
 * A figure that need not exist, since no such fit was possible, say: NaN in memory and null in a file, as JSON has it.
 * Both are read.
 */
export const figure = z
  .custom<number | null>((value) => value === null || typeof value === 'number', 'expected a number or null')
  .transform((value) => value ?? Number.NaN)
  .meta({ id: 'figure' })

export const three = <T extends z.ZodType>(one: T) => z.tuple([one, one, one])
