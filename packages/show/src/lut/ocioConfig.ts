import { resolveEncoding } from '@isochip/core'
import { decodingClf, writeClf, writeOcioConfig } from '@isochip/export'
import { encodingText, type ShowReport, targetText } from '@isochip/report'

/** In the folder of the LUTs. */
export const ocioConfigFile = 'config.ocio'

/** Steps before samples; a lattice for LUT boxes is none for software. */
const rank = (file: string) =>
  file.endsWith('.live.clf') ? 0 : file.endsWith('.clf') ? 2 : file.endsWith('.cube') ? 1 : 0

/** What takes the output of the LUTs to linear light. */
export const ocioLightFile = 'config.light.clf'

/** The files of a config. */
export const ocioFiles = [ocioLightFile, ocioConfigFile] as const

/**
 * The OpenColorIO config of a show: every camera and setup that was matched as a colour space, `SETUP/CAMERA`, whose LUT takes it
 * to the space `target`, the LUTs' output; `light` is that decoded to linear light. What failed is not in it.
 */
export function ocioConfig(report: ShowReport): string {
  const all = report.setups.flatMap(({ cameras }) => cameras)
  const output = encodingText(outputOf(report))
  const to = `the LUTs’ output, ${targetText(report.target)}: ${output}`
  return writeOcioConfig({
    comments: [`Written by isochip ${report.version}.`],
    description: `${report.title}: each camera in each setup, to ${to}`,
    reference: { name: 'target', description: to },
    light: { name: 'light', family: '', description: `linear light of ${output}`, file: ocioLightFile },
    spaces: all.flatMap(({ setup, camera, sourceEncoding, lut }) => {
      const [file] = [...(lut?.files ?? [])].sort((a, b) => rank(b) - rank(a))
      if (file === undefined || rank(file) === 0) return []
      const description = `camera ${camera}, setup ${setup}: ${encodingText(sourceEncoding)}`
      return [{ name: `${setup}/${camera}`, family: setup, description, file }]
    }),
  })
}

export function ocioLight(report: ShowReport): string {
  const spec = outputOf(report)
  const descriptions = [
    `Written by isochip ${report.version}.`,
    `in: ${encodingText(spec)}`,
    'out: linear light in the same primaries',
  ]
  return writeClf(decodingClf(resolveEncoding(spec), { id: 'light', descriptions }))
}

/** All LUTs of a show lead to one encoding, and a report has at least one match. */
const outputOf = ({ setups }: ShowReport) => setups[0]!.cameras[0]!.outputEncoding
