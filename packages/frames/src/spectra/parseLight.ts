import { given, IsochipError, type Spectrum } from '@isochip/core'
import { cgatsTokens } from '../cgats/cgatsTokens.ts'
import { parseCgats } from '../cgats/parseCgats.ts'
import { wavelengthFault } from './wavelengthFault.ts'

/*
 * nm,power
 * 380,0.0121
 * 385,0.0146
 *
 * or CGATS text with one sample, its fields named by wavelength (SPECTRAL_NM380 …). Traps: the numbers may be on any scale;
 * half of the world writes decimals with a comma; noise below zero at the ends is real.
 */

const hint =
  'give two columns, wavelength in nm and relative power, separated by a comma, or CGATS text with one sample of spectral fields'
/** Noise of an instrument below zero, as a share of the largest power. */
const noiseShare = 0.02

/**
 * The relative power of a light that was measured, from the text of a CSV or CGATS file.
 *
 * @param file name for messages
 * @throws IsochipError `target-invalid` with file and line; `chart-invalid` for CGATS that cannot be read
 */
export function parseLight(text: string, file: string): Spectrum {
  const fault = (message: string, line?: number) =>
    new IsochipError('target-invalid', message, {
      hint,
      place: given({ file, line }),
    })
  const isCgats = cgatsTokens(text).tokens.some((one) => !one.quoted && one.text === 'BEGIN_DATA_FORMAT')
  const { nm, values } = isCgats ? ofCgats(text, file, fault) : ofCsv(text, fault)
  const wrong = wavelengthFault(nm)
  if (wrong !== undefined) throw fault(wrong)
  const most = values.reduce((a, b) => Math.max(a, b), 0)
  if (!(most > 0)) throw fault('the light has no power')
  const dark = values.findIndex((value) => value < -noiseShare * most)
  if (dark >= 0) throw fault(`a power of ${values[dark]} at ${nm[dark]} nm`)
  return { nm, values }
}

type Fault = (message: string, line?: number) => IsochipError

function ofCgats(text: string, file: string, fault: Fault): Spectrum {
  const { samples, wavelengths } = parseCgats(text, file, {}, 'light')
  const [sample] = samples
  if (samples.length !== 1 || sample?.spectrum === undefined || wavelengths === undefined)
    throw fault(`${samples.length} samples where one light is expected`)
  return { nm: wavelengths, values: sample.spectrum }
}

function ofCsv(text: string, fault: Fault): Spectrum {
  const nm: number[] = []
  const values: number[] = []
  const lines = text.replace(/^\uFEFF/, '').split(/\r\n|\n|\r/)
  for (const [index, whole] of lines.entries()) {
    const line = whole.replace(/#.*$/, '').trim()
    if (line === '') continue
    const fields = line.split(/[,;\t]/).map((field) => field.trim())
    const numbers = fields.map((field) =>
      /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(field) ? Number(field) : Number.NaN,
    )
    const [at, power] = numbers
    if (fields.length === 2 && Number.isFinite(at) && Number.isFinite(power)) {
      nm.push(at!)
      values.push(power!)
    } else if (nm.length > 0 || !/[a-z]/i.test(line)) {
      throw fault(
        fields.length === 2
          ? `"${line}" where wavelength and power are expected`
          : `${fields.length} fields where wavelength and power are expected; decimals take a point`,
        index + 1,
      )
    }
  }
  if (nm.length === 0) throw fault('the file holds no wavelengths')
  return { nm, values }
}
