import { jsonSchema } from '@isochip/core/shapes'
import type * as z from 'zod'
import { shortened } from './shortened.ts'
import { suggestion } from './suggestion.ts'
import { type FaultPath, pathText } from './yamlPlace.ts'

/** One thing wrong in a document, by the path to it. */
export interface Fault {
  readonly path: FaultPath
  /** Does the fault lie with the key or with its value? */
  readonly at?: 'key' | 'value'
  readonly message: string
  readonly hint?: string
}

type Issue = z.core.$ZodIssue

/** What a value is, in words that fit into “found …”. */
function describeValue(value: unknown): string {
  if (value === null || value === undefined) return 'nothing'
  if (typeof value === 'string') return `"${shortened(value)}"`
  if (Array.isArray(value)) return `a list of ${value.length}`
  if (typeof value === 'object') {
    const keys = Object.keys(value)
    return keys.length === 0 ? 'an empty map' : `a map with ${keys.slice(0, 4).map(shortened).join(', ')}`
  }
  return String(value)
}

function valueAt(root: unknown, path: FaultPath): unknown {
  let value = root
  for (const step of path) {
    if (typeof value !== 'object' || value === null) return undefined
    value = (value as Record<string | number, unknown>)[step]
  }
  return value
}

/** Everything that a schema has against a document, in its order. */
export function schemaFaults(schema: z.ZodType, document: unknown, issues: readonly Issue[]): Fault[] {
  const flat = issues.flatMap((issue) => flatten(issue, []))
  return flat.flatMap((issue) => faults(schema, document, issue))
}

/** A union's issue becomes the issues of the branch that the value was most likely meant for. */
function flatten(issue: Issue, prefix: FaultPath): Issue[] {
  const whole = { ...issue, path: [...prefix, ...issue.path] } as Issue
  if (whole.code !== 'invalid_union') return [whole]
  const branches = whole.errors.map((branch) =>
    branch.flatMap((inner) => flatten(inner, whole.path as FaultPath)),
  )
  const depth = whole.path.length
  const cost = (branch: readonly Issue[]) =>
    branch.reduce((sum, inner) => {
      if (inner.path.length > depth)
        return sum + (inner.code === 'invalid_type' && inner.input === undefined ? 3 : 1)
      return sum + (inner.code === 'unrecognized_keys' ? 4 * inner.keys.length : 100)
    }, 0)
  const ranked = branches.map((branch) => ({ branch, cost: cost(branch) })).sort((a, b) => a.cost - b.cost)
  const [first] = ranked
  if (first === undefined) return [whole]
  if (first.cost >= 100) return [{ ...whole, errors: branches } as Issue]
  // A misspelt key is also a missing one; only the former is news.
  const misspelt = first.branch.filter((inner) => inner.code === 'unrecognized_keys')
  return misspelt.length > 0 ? misspelt : first.branch
}

function faults(schema: z.ZodType, document: unknown, issue: Issue): Fault[] {
  const path = issue.path as FaultPath
  const where = path.length === 0 ? 'the file' : pathText(path)
  const value = valueAt(document, path)
  if (issue.code === 'unrecognized_keys') {
    const known = [...new Set(keyGroups(schema, path).flat())]
    return issue.keys.map((key) => ({
      path: [...path, key],
      at: 'key' as const,
      message: `${path.length === 0 ? '' : `${where}: `}unknown key "${shortened(key)}"`,
      ...(known.length === 0 ? {} : { hint: suggestion(key, known, 'known here') }),
    }))
  }
  if (issue.code === 'custom') return [{ path, message: `${where}: ${issue.message}` }]
  const expected = expectation(issue, keyGroups(schema, path))
  if (value === undefined) return [{ path, message: `${where} is missing`, hint: `expected ${expected}` }]
  const choices = choicesOf(issue)
  return [
    {
      path,
      message: `${where}: found ${describeValue(value)}, expected ${expected}`,
      ...(typeof value === 'string' && choices.length > 3 && { hint: suggestion(value, choices, 'known') }),
    },
  ]
}

function choicesOf(issue: Issue): string[] {
  if (issue.code === 'invalid_value') return issue.values.map(String)
  if (issue.code === 'invalid_union') return issue.errors.flatMap((branch) => branch.flatMap(choicesOf))
  return []
}

const kinds: Record<string, string> = {
  string: 'text',
  number: 'a number',
  int: 'a whole number',
  boolean: 'true or false',
  array: 'a list',
  tuple: 'a list',
  object: 'a map',
  record: 'a map',
}

/** What would have been right, in words that fit after “expected”. */
function expectation(issue: Issue, groups: readonly (readonly string[])[]): string {
  switch (issue.code) {
    case 'invalid_type': {
      const kind = kinds[issue.expected] ?? issue.expected
      return kind === 'a map' && groups.length > 0
        ? `a map with ${groups.map((keys) => keys.join(', ')).join(', or with ')}`
        : kind
    }
    case 'invalid_value': {
      const values = issue.values.map(String)
      return values.length === 1 ? values[0]! : `one of ${values.join(', ')}`
    }
    case 'too_small':
    case 'too_big': {
      const limit = Number(issue.code === 'too_small' ? issue.minimum : issue.maximum)
      const exact = issue.code === 'too_small' ? 'at least' : 'at most'
      const strict = issue.code === 'too_small' ? 'more than' : 'less than'
      const bound = `${issue.inclusive === false ? strict : exact} ${limit}`
      if (issue.origin === 'array') return `a list of ${limit === 1 ? `${exact} ` : ''}${limit}`
      if (issue.origin === 'string') return limit === 1 ? 'a text that is not empty' : `${bound} characters`
      return `a number of ${bound}`.replace('of more', 'more').replace('of less', 'less')
    }
    case 'invalid_union': {
      const words = issue.errors.map(
        (branch) => branch.map((inner) => expectation(inner, groups))[0] ?? 'something else',
      )
      return [...new Set(words)].join(', or ')
    }
    default:
      return issue.message
  }
}

/** The keys that an object at a path may have, one list a branch: from the JSON Schema, where unions and optionals lie open. */
function keyGroups(schema: z.ZodType, path: FaultPath): string[][] {
  interface Node {
    readonly properties?: Record<string, Node>
    readonly additionalProperties?: Node | boolean
    readonly items?: Node
    readonly prefixItems?: readonly Node[]
    readonly anyOf?: readonly Node[]
    readonly oneOf?: readonly Node[]
    readonly $ref?: string
    readonly $defs?: Readonly<Record<string, Node>>
  }
  const root = jsonSchema(schema) as Node
  let nodes: Node[] = [root]
  const open = (list: readonly Node[]): Node[] =>
    list.flatMap((node) => {
      const referred = node.$ref === undefined ? undefined : root.$defs?.[node.$ref.replace('#/$defs/', '')]
      const branches = node.anyOf ?? node.oneOf ?? (referred === undefined ? undefined : [referred])
      return branches === undefined ? [node] : open(branches)
    })
  for (const step of path) {
    nodes = open(nodes).flatMap((node) => {
      if (typeof step === 'number')
        return [node.prefixItems?.[step] ?? node.items].filter((next) => next !== undefined)
      const next = node.properties?.[step] ?? node.additionalProperties
      return typeof next === 'object' ? [next] : []
    })
  }
  return open(nodes)
    .map((node) => Object.keys(node.properties ?? {}))
    .filter((keys) => keys.length > 0)
}
