/** The shapes of a report and of what it shares with other files, as zod schemas. An entry of its own: reports need no zod. */
export * from './data/reportShape.ts'
export * from './responses/comparisonShape.ts'
