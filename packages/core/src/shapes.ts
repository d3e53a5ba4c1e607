/**
 * The shapes of what core takes and gives, as zod schemas: the types of core are made of them, and so are the schemas of
 * the files that hold them. An entry of its own, since core itself runs without zod.
 */
export * from './shape/chart.ts'
export * from './shape/controls.ts'
export * from './shape/encoding.ts'
export * from './shape/fit.ts'
export { jsonSchema } from './shape/jsonSchema.ts'
export * from './shape/match.ts'
export * from './shape/model.ts'
export * from './shape/numbers.ts'
export * from './shape/readings.ts'
export * from './shape/responses.ts'
export type { Shape } from './shape/shape.ts'
export * from './shape/target.ts'
export * from './shape/turn.ts'
export * from './shape/warning.ts'
