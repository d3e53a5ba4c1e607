export { type Comparison, compareShow } from './compare/compareShow.ts'
export { writeComparison } from './compare/writeComparison.ts'
export { checkFiles, type FilesCheck, type FilesCheckFile, mixedFiles } from './files/checkFiles.ts'
export { OutputFolder, type Written } from './files/outputFolder.ts'
export { isOurs, markPng } from './files/ownMark.ts'
export { type ProposeShowOptions, proposeShow, type ShowProposal } from './init/proposeShow.ts'
export { writeProposal } from './init/writeProposal.ts'
export {
  type LineUpEvent,
  type LineUpRoundOfCamera,
  type LineUpShowOptions,
  lineUpShow,
} from './lineup/lineUpShow.ts'
export { type LoadedShow, loadShow } from './load/loadShow.ts'
export { readChartFile } from './load/readChartFile.ts'
export { readChartInLight } from './load/readChartInLight.ts'
export { type PrintOptions, readChartOfPrint } from './load/readChartOfPrint.ts'
export { type LutFile, lutFunction, parseLutFile, readLutFile } from './load/readLutFile.ts'
export { type ApplyLutOptions, applyLutToFrames } from './lut/applyLutToFrames.ts'
export { type BakedFile, type BakeMatchOptions, bakeMatchFile } from './lut/bakeMatchFile.ts'
export { type MatchShowOptions, matchShow, type ShowMatch } from './match/matchShow.ts'
export type { ShowEvent } from './progress/showEvent.ts'
export type { FootageReading } from './read/openFrame.ts'
export {
  type ChartReadings,
  type FrameReadings,
  type ReadChartsOptions,
  type ReadingStep,
  readCharts,
} from './read/readCharts.ts'
export { readShot, type ShotContext, type ShotReadings } from './read/readShot.ts'
export type { ReadShowOptions } from './read/readShow.ts'
export type { Drift } from './verify/drift.ts'
export type { VerifiedCamera } from './verify/verifyCamera.ts'
export {
  type Verification,
  type VerificationFile,
  type VerifyShowOptions,
  verifyShow,
} from './verify/verifyShow.ts'
