import type { LiveProfile, ProcessNode, RangeNode, SignalCharacteristics } from '../processList.ts'
import type { ElementReader } from '../read/elementReader.ts'

/** SMPTE ST 2136-10. */
export const liveNamespace = 'http://www.smpte-ra.org/ns/2136-10/2026'
export const liveProfileName = `${liveNamespace}#Live_Broadcast_LUT33`

/** Positions of black and white of a narrow range in 10 bits (ITU-R BT.709-6, item 4.6), which the profile's lattice has. */
export const livePositions = { black: 64 / 1023, white: 940 / 1023 } as const

/** Elements of the profile, and what they are called here. */
export const characteristicsElements = [
  ['ColorPrimaries', 'colorPrimaries'],
  ['TransferCharacteristic', 'transferCharacteristic'],
  ['CodingEquations', 'codingEquations'],
] as const

/** What an Info says of the profile; `undefined` where it says that there is none, or another. */
export function readLiveProfile(info: ElementReader | undefined): LiveProfile | undefined {
  const profile = info?.childrenNamed('Profile')[0]?.element.text.trim()
  if (info === undefined || profile !== liveProfileName) return undefined
  const signal = (name: string): SignalCharacteristics => {
    const at = info.childrenNamed(name)[0]
    return Object.fromEntries(
      characteristicsElements.flatMap(([element, key]) => {
        const text = at?.childrenNamed(element)[0]?.element.text.trim()
        return text === undefined || text === '' ? [] : [[key, text]]
      }),
    )
  }
  return { input: signal('InputCharacteristics'), output: signal('OutputCharacteristics') }
}

/** What the nodes of a list have that the profile does not; `undefined` where all is well. */
export function liveProfileFault(nodes: readonly ProcessNode[]): string | undefined {
  const kinds = nodes.map(({ type }) => type).join(', ')
  if (!/^(Range, )?LUT3D(, Range)?$/.test(kinds)) return `its nodes are ${kinds.slice(0, 80)}`
  const lattice = nodes.findIndex(({ type }) => type === 'LUT3D')
  for (const [i, node] of nodes.entries()) {
    if (node.type === 'LUT3D' && node.size !== 33) return `its LUT3D has ${node.size} nodes per axis`
    if (node.type === 'LUT3D' && node.interpolation !== 'tetrahedral') return 'its LUT3D is not tetrahedral'
    if (node.type === 'Range' && node.style !== 'noClamp') return 'its Range clamps'
    if (node.type === 'Range' && !isLiveRange(node, i < lattice)) {
      const { minIn, maxIn, minOut, maxOut } = node
      return `its Range goes from ${minIn} … ${maxIn} to ${minOut} … ${maxOut}`
    }
  }
  return undefined
}

/** Seven digits are printed. */
const printed = 1e-6

/** Between full range and the positions: towards them before the lattice, back after it. */
function isLiveRange({ minIn, maxIn, minOut, maxOut }: RangeNode, before: boolean): boolean {
  const full = [0, 1]
  const positions = [livePositions.black, livePositions.white]
  const expected = before ? [...full, ...positions] : [...positions, ...full]
  return [minIn, maxIn, minOut, maxOut].every(
    (value, i) => value !== undefined && Math.abs(value - expected[i]!) <= printed,
  )
}
