import * as z from 'zod'
import { figure } from './numbers.ts'

/** A shape as JSON Schema (draft 2020-12), as it is in a file. A list of a fixed length has that length. */
export const jsonSchema = (shape: z.ZodType): Readonly<Record<string, unknown>> =>
  z.toJSONSchema(shape, {
    io: 'input',
    unrepresentable: 'any',
    override: ({ zodSchema, jsonSchema: schema }) => {
      if (zodSchema === figure) Object.assign(schema, { type: ['number', 'null'] })
      const { prefixItems } = schema
      if (prefixItems === undefined) return
      schema.minItems = prefixItems.length
      schema.maxItems = prefixItems.length
    },
  })
