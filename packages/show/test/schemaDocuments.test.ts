import { readFileSync } from 'node:fs'
import { expect, test } from 'vitest'
import { schemaDocuments } from '../src/schema/schemaDocuments.ts'

test.each(Object.entries(schemaDocuments()))('%s is what the code says', (name, schema) => {
  const published = readFileSync(new URL(`../schema/${name}`, import.meta.url), 'utf8')
  expect(JSON.parse(published)).toEqual(JSON.parse(JSON.stringify(schema)))
})
