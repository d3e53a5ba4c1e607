export { compareReadings, type SetupComparison } from './compare/compareReadings.ts'
export { matchReadings } from './fit/matchReadings.ts'
export { matchSetup, type SetupMatch, type SetupReadings, type SetupResult } from './fit/matchSetup.ts'
export { type CameraEncoding, isMeasured } from './load/measuredEncoding.ts'
export { cameraEncoding, type PlanParts, planShow, type ShowPlan, tablePaths } from './load/planShow.ts'
export { type BakedFormats, bakeFormats } from './lut/bakeFormats.ts'
export { type LutOrigin, lutComments } from './lut/lutComments.ts'
export { ocioConfig, ocioConfigFile, ocioLight, ocioLightFile } from './lut/ocioConfig.ts'
export { assertWithinTolerance, type Judged } from './match/assertWithinTolerance.ts'
export { buildReport, type MatchExtras } from './match/buildReport.ts'
export {
  type MatchFile,
  matchFileText,
  type Provenance,
} from './matchFile/matchFile.ts'
export { parseMatchFile } from './matchFile/parseMatchFile.ts'
export { toMatchFile } from './matchFile/toMatchFile.ts'
export { type PlacedChart, placeChart } from './read/placeChart.ts'
export { type SampledShot, sampleShot } from './read/sampleShot.ts'
export { parseShow } from './showFile/parseShow.ts'
export {
  type BorrowedShot,
  defaultSetup,
  type FramesShot,
  type LutFormat,
  lutFormats,
  type MoviePlace,
  matchEndings,
  type OutputFormat,
  outputFormats,
  type ReadingsShot,
  type Shot,
  type Show,
  type ShowCamera,
  type ShowCorners,
  type ShowEncoding,
  type ShowOutput,
  type ShowPlace,
  type ShowTransfer,
  type YcbcrReading,
} from './showFile/show.ts'
export { type ShowPart, splitShow } from './showFile/splitShow.ts'
export { kelvinAfter } from './verify/kelvinAfter.ts'
export { version } from './version.ts'
