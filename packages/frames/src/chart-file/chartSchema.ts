import { illuminantNames, patchRoles } from '@isochip/core'

const pair = { type: 'array', items: { type: 'number' }, minItems: 2, maxItems: 2 } as const
const fractions = {
  type: 'array',
  items: { type: 'number', exclusiveMinimum: 0, maximum: 1 },
  minItems: 2,
  maxItems: 2,
} as const
const date = { type: 'string', pattern: '^\\d{4}-\\d{2}-\\d{2}$' } as const

export const referenceSpaces = ['XYZ', 'xyY', 'Lab'] as const

/** JSON Schema (2020-12) of a chart file. `parseChart` checks more: counts, names, and that the geometry adds up. */
export const chartSchema = {
  $schema: 'https://json-schema.org/draft/2020-12/schema',
  title: 'isochip chart file',
  type: 'object',
  required: ['isochip', 'id', 'rows', 'columns', 'patches', 'geometry'],
  additionalProperties: false,
  properties: {
    isochip: { const: 'chart/1' },
    id: { type: 'string', pattern: '^[A-Za-z0-9][A-Za-z0-9._-]*$' },
    title: { type: 'string' },
    rows: { type: 'integer', minimum: 1, maximum: 100 },
    columns: { type: 'integer', minimum: 1, maximum: 100 },
    reference: {
      type: 'object',
      description: 'what the values of the patches are relative to',
      required: ['space', 'illuminant', 'observer'],
      additionalProperties: false,
      properties: {
        space: {
          enum: referenceSpaces,
          description: 'XYZ and xyY with Y = 1 for a perfect diffuser; Lab with L* 0…100',
        },
        illuminant: {
          oneOf: [
            { enum: illuminantNames },
            {
              type: 'object',
              required: ['white'],
              additionalProperties: false,
              properties: { white: { ...pair, description: 'CIE x, y' } },
            },
          ],
        },
        observer: { enum: [2, 10] },
        source: { type: 'string' },
      },
    },
    wavelengths: {
      type: 'array',
      description: 'where the reflectances were measured: nm, ascending, from 400 or less to 700 or more',
      items: { type: 'number', minimum: 200, maximum: 2500 },
      minItems: 2,
    },
    patches: {
      type: 'array',
      description: 'row by row from the first patch; rows × columns of them',
      items: {
        type: 'object',
        required: ['name'],
        additionalProperties: false,
        properties: {
          name: { type: 'string', minLength: 1 },
          role: { enum: patchRoles },
          value: { type: 'array', items: { type: 'number' }, minItems: 3, maxItems: 3 },
          reflectance: {
            type: 'array',
            items: { type: 'number', minimum: -0.01, maximum: 2 },
            minItems: 2,
            description: 'spectral reflectance at the wavelengths, 1 for a perfect diffuser',
          },
        },
      },
    },
    geometry: {
      type: 'object',
      description: 'fractions of the grid between the outer edges of its outer patches',
      required: ['pitch', 'patch', 'aspect'],
      additionalProperties: false,
      properties: {
        pitch: { ...fractions, description: 'between centres of neighbours: across, down' },
        patch: { ...fractions, description: 'size of a patch: across, down' },
        aspect: { type: 'number', exclusiveMinimum: 0, description: 'width of the grid over its height' },
      },
    },
    measured: { ...date, description: 'day when the values were measured' },
    replace_by: { ...date, description: 'day after which the chart is not to be trusted' },
  },
} as const
