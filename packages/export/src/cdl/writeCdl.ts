import { shortestDecimal } from '../cube/decimal.ts'
import { escapeXml } from '../lut/escapeXml.ts'
import type { Cdl } from './cdl.ts'

export interface CdlWriteOptions {
  readonly id: string
  readonly descriptions?: readonly string[]
}

/** From memory: the namespace that the ASC gives for its XML. */
const namespace = 'urn:ASC:CDL:v1.01'

/** One correction by itself: a `.cc` file. */
export function writeCc(cdl: Cdl, options: CdlWriteOptions): string {
  return document(correction(cdl, options, ` xmlns="${namespace}"`))
}

/** A list of one correction: a `.cdl` file. */
export function writeCdl(cdl: Cdl, options: CdlWriteOptions): string {
  return document([
    `<ColorDecisionList xmlns="${namespace}">`,
    '  <ColorDecision>',
    ...correction(cdl, options, '').map((line) => `    ${line}`),
    '  </ColorDecision>',
    '</ColorDecisionList>',
  ])
}

const document = (lines: readonly string[]) =>
  `${['<?xml version="1.0" encoding="UTF-8"?>', ...lines].join('\n')}\n`

function correction(
  { slope, offset, power, saturation }: Cdl,
  options: CdlWriteOptions,
  more: string,
): string[] {
  const { id, descriptions = [] } = options
  const numbers = (values: readonly number[]) => values.map((x) => shortestDecimal(x, false)).join(' ')
  return [
    `<ColorCorrection${more} id="${escapeXml(id)}">`,
    '  <SOPNode>',
    ...descriptions.map((text) => `    <Description>${escapeXml(text)}</Description>`),
    `    <Slope>${numbers(slope)}</Slope>`,
    `    <Offset>${numbers(offset)}</Offset>`,
    `    <Power>${numbers(power)}</Power>`,
    '  </SOPNode>',
    '  <SatNode>',
    `    <Saturation>${numbers([saturation])}</Saturation>`,
    '  </SatNode>',
    '</ColorCorrection>',
  ]
}
