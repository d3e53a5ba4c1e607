import { chartFile, jsonSchema, readingsFile } from '@isochip/core/shapes'
import { comparisonFile, reportFile } from '@isochip/report/shapes'
import { filesCheckFile } from '../files/filesCheckShape.ts'
import { lineUpSchema } from '../lineup/lineUpFile.ts'
import { matchShape } from '../matchFile/matchShape.ts'
import { showSchema } from '../showFile/showSchema.ts'
import { verificationFile } from '../verify/verificationShape.ts'

/** The JSON Schemas (draft 2020-12) that are published in the folder `schema`, by file name. */
export function schemaDocuments(): Record<string, unknown> {
  return {
    'show.schema.json': jsonSchema(showSchema),
    'match.schema.json': jsonSchema(matchShape),
    'report.schema.json': jsonSchema(reportFile),
    'readings.schema.json': jsonSchema(readingsFile),
    'lineup.schema.json': jsonSchema(lineUpSchema),
    'chart.schema.json': jsonSchema(chartFile),
    'verify.schema.json': jsonSchema(verificationFile),
    'files.schema.json': jsonSchema(filesCheckFile),
    'compare.schema.json': jsonSchema(comparisonFile),
  }
}
