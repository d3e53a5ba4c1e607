import type { ElementReader } from '../read/elementReader.ts'

/** The generations of the format: Academy version 2, S-2014-006 version 3, SMPTE ST 2136-1:2024. */
export type ClfGeneration = '2' | '3' | 'st2136-1'

const academyNamespaces = ['', 'urn:AMPAS:CLF:v2.0', 'urn:AMPAS:CLF:v3.0']
/** The document that has the rules of each. */
export const documents: Readonly<Record<ClfGeneration, string>> = {
  '2': 'the Academy Common LUT Format, version 2,',
  '3': 'Academy S-2014-006, version 3,',
  'st2136-1': 'SMPTE ST 2136-1:2024',
}

/** `compCLFversion` of SMPTE's edition, and its namespace, which says it alone. */
export const smpteVersion = 'ST2136-1:2024'
export const smpteNamespace = 'http://www.smpte-ra.org/ns/2136-1/2024'
const knownYear = 2024

/** `urn:uuid:` and a UUID, as RFC 9562 writes them: what an `Id` holds. */
export const uuidUrn = /^urn:uuid:[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/i

/** The generation by whose rules a process list is read, and what it says of its version. */
export function readGeneration(root: ElementReader): { generation: ClfGeneration; version: string } {
  const { namespace } = root.element
  const year = /^http:\/\/www\.smpte-ra\.org\/ns\/2136-1\/(\d{4})$/.exec(namespace)?.[1]
  if (year !== undefined && Number(year) !== knownYear) {
    root.fail(`namespace "${namespace}" is of an edition that is not known here, expected ${knownYear}`)
  }
  if (year === undefined && !academyNamespaces.includes(namespace)) {
    root.fail(`namespace "${namespace}" is none of this format`)
  }
  const said = root.attribute('compCLFversion')
  if (said === undefined && root.attribute('version') !== undefined) {
    root.fail(
      'version in place of compCLFversion: a private dialect of the format; save it as Common LUT Format',
    )
  }
  if (year !== undefined) {
    // A file for readers of either generation says 3 as well.
    const version = said ?? smpteVersion
    if (![smpteVersion, '3', '3.0'].includes(version)) {
      root.fail(`compCLFversion is "${version}", expected ${smpteVersion} or 3 in this namespace`)
    }
    return { generation: 'st2136-1', version }
  }
  const version = said ?? root.required('compCLFversion')
  if (version === smpteVersion && namespace === '') return { generation: 'st2136-1', version }
  const found = /^(\d{1,3})(\.\d{1,3}){0,2}$/.exec(version)
  if (found === null || Number(found[1]) < 1 || Number(found[1]) > 3) {
    root.fail(`compCLFversion is "${version}", expected 1 to 3.0, or ${smpteVersion}`)
  }
  return { generation: Number(found[1]) < 3 ? '2' : '3', version }
}

/** The generation by whose rules a list is written that says this of its version. */
export function generationOf(version: string | undefined): ClfGeneration {
  if (version?.startsWith('ST')) return 'st2136-1'
  return version !== undefined && /^[12]\b/.test(version) ? '2' : '3'
}
