import { chartFile, jsonSchema, readingsFile } from '@isochip/core/shapes'
import { reportFile } from '@isochip/report/shapes'
import { lineUpSchema } from '../lineup/lineUpFile.ts'
import { matchShape } from '../matchFile/matchShape.ts'
import { showSchema } from '../showFile/showSchema.ts'

/** The JSON Schemas (draft 2020-12) that are published in the folder `schema`, by file name. */
export function schemaDocuments(): Record<string, unknown> {
  return {
    'show.schema.json': jsonSchema(showSchema),
    'match.schema.json': jsonSchema(matchShape),
    'report.schema.json': jsonSchema(reportFile),
    'readings.schema.json': jsonSchema(readingsFile),
    'lineup.schema.json': jsonSchema(lineUpSchema),
    'chart.schema.json': jsonSchema(chartFile),
  }
}
