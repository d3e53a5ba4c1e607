import { readingsToCsv } from '@isochip/frames'
import { reportHtml, reportJson, residualsCsv } from '@isochip/report'
import {
  bakeFormats,
  buildReport,
  matchEndings,
  matchFileText,
  matchReadings,
  ocioConfig,
  ocioConfigFile,
  ocioLight,
  ocioLightFile,
  toMatchFile,
} from '@isochip/show'
import { type Zippable, zipSync } from 'fflate'
import { stringify } from 'yaml'
import { type Answers, type Ask, grabName, shotKey } from '../messages.ts'
import { planOf } from './planOf.ts'

/** All that the command would write, as one zip: LUTs, match files, report, and the show file. */
export async function deliverShow({
  parts,
  readings,
  live,
}: Extract<Ask, { kind: 'deliver' }>): Promise<Answers['deliver']> {
  const plan = await planOf(parts)
  const { matches } = matchReadings(plan, readings)
  const files: Record<string, Uint8Array> = {}
  const text = (content: string) => new TextEncoder().encode(content)
  const luts = new Map<string, { readonly files: readonly string[] }>()
  const finished = matches.map((one) => {
    const baked = bakeFormats(plan, one)
    const name = `${one.setup}/${one.camera}`
    const names = matchEndings(plan.show.output.formats).map((ending) => `${name}${ending}`)
    for (const [i, { bytes }] of baked.files.entries()) files[names[i]!] = bytes
    luts.set(name, { files: names, ...baked.lattice })
    const whole = { ...one, match: { ...one.match, warnings: [...one.match.warnings, ...baked.warnings] } }
    files[`${name}.match.json`] = text(matchFileText(toMatchFile(plan, whole)))
    return whole
  })
  const report = buildReport(plan, finished, [], ({ setup, camera }) => ({
    lut: luts.get(`${setup}/${camera}`)!,
  }))
  files['report.html'] = text(reportHtml(report))
  files['report.json'] = text(reportJson(report))
  files['residuals.csv'] = text(residualsCsv(report))
  if (plan.show.output.formats.includes('ocio')) {
    files[ocioLightFile] = text(ocioLight(report))
    files[ocioConfigFile] = text(ocioConfig(report))
  }
  for (const { camera, setup, readings: taken } of readings)
    if (live.includes(shotKey(camera, setup))) files[grabName(camera, setup)] = text(readingsToCsv(taken))
  files['show.yaml'] = text(stringify(parts.show))
  // Dates would make the same match another zip every time; a zip knows none before 1980.
  const mtime = new Date(1980, 0, 1)
  const entries: Zippable = Object.fromEntries(
    Object.entries(files).map(([name, bytes]) => [name, [bytes, { mtime }]]),
  )
  return new Blob([zipSync(entries, { level: 6 })], { type: 'application/zip' })
}
