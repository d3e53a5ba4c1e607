import { writeFileSync } from 'node:fs'
import { schemaDocuments } from '../src/schema/schemaDocuments.ts'

/* Writes the published JSON Schemas anew; a test compares them with what the code says. */
for (const [name, schema] of Object.entries(schemaDocuments())) {
  writeFileSync(new URL(`../schema/${name}`, import.meta.url), `${JSON.stringify(schema, null, 2)}\n`)
}
