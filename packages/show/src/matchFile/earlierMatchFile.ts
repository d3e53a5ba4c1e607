import { colourSpaces } from './matchFile.ts'

type Members = Readonly<Record<string, unknown>>

const members = (value: unknown): Members =>
  typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as Members) : {}

/**
 * A match file of an earlier build in the form of today, as far as it has one; whatever else it is given stays as it is.
 *
 * `match/1` and `match/2` tell the reference camera by `isTarget` and give it the figures of a fit that was none;
 * `match/1` shares out the mean square of the residual without outliers, which no later budget does.
 */
export function earlierMatchFile(content: unknown): unknown {
  const { isTarget, ...file } = members(content)
  if (file.isochip !== 'match/1' && file.isochip !== 'match/2') return content
  const common = { ...file, isochip: 'match/3', spaces: file.spaces ?? colourSpaces }
  if (isTarget === true)
    return { ...common, kind: 'reference', model: { kind: 'conversion', matrix: members(file.model).matrix } }
  if (file.isochip === 'match/2') return { ...common, kind: 'fitted' }
  const { budget: _, ...diagnosis } = members(file.diagnosis)
  return { ...common, kind: 'fitted', diagnosis }
}
