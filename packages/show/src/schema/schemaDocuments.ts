import { chartSchema } from '@isochip/frames'
import { reportSchema } from '@isochip/report'
import * as z from 'zod'
import { lineUpSchema } from '../lineup/lineUpFile.ts'
import { matchSchema } from '../matchFile/matchSchema.ts'
import { showSchema } from '../showFile/showSchema.ts'

/** The JSON Schemas (draft 2020-12) that are published in the folder `schema`, by file name. */
export function schemaDocuments(): Record<string, unknown> {
  return {
    'show.schema.json': z.toJSONSchema(showSchema, { io: 'input' }),
    'match.schema.json': z.toJSONSchema(matchSchema, { io: 'input' }),
    'report.schema.json': reportSchema,
    'lineup.schema.json': z.toJSONSchema(lineUpSchema, { io: 'input' }),
    'chart.schema.json': chartSchema,
  }
}
