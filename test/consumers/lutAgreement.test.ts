import { expect, it } from 'vitest'
import { consumer } from '../support/consumer.ts'
import { agreeWithFfmpeg, agreeWithOcio } from './lutAgreement.ts'

// The whole of the 1,000 LUTs is run by `lutThousand.ts`; these are the first fifty, all kinds of domain among them.
const batches = [0, 25].map((first) => Array.from({ length: 25 }, (_, i) => first + i))

const ffmpeg = consumer('ffmpeg')
ffmpeg.describe('ffmpeg lut3d gives the same 16-bit pixels, within one code', () => {
  // ffmpeg cuts the fraction of a code off where we round: one code apart is as near as can be.
  it.each(batches)('LUTs %i…', (...numbers) => {
    const { luts, trilinear, tetrahedral } = agreeWithFfmpeg(ffmpeg, numbers)
    expect(luts).toBe(25)
    expect(trilinear).toBeLessThanOrEqual(1)
    expect(tetrahedral).toBeLessThanOrEqual(1)
  })
})

const python = consumer('pyopencolorio')
python.describe('OpenColorIO gives the same 16-bit pixels, within one code', () => {
  it.each(batches)('LUTs %i…', (...numbers) => {
    const { luts, trilinear, tetrahedral } = agreeWithOcio(python, numbers)
    expect(luts).toBe(25)
    expect(trilinear).toBeLessThanOrEqual(1)
    expect(tetrahedral).toBeLessThanOrEqual(1)
  })
})
