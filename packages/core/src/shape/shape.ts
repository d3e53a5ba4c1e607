import type * as z from 'zod'

/** What a shape describes, as it is in memory: read, and not to be changed. */
export type Shape<S extends z.ZodType> = Fixed<z.output<S>>

type Fixed<T> = T extends object ? { readonly [K in keyof T]: Fixed<T[K]> } : T
