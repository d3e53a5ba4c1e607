export { type Comparison, compareShow } from './compare/compareShow.ts'
export { OutputFolder, type Written } from './files/outputFolder.ts'
export { isOurs, markPng } from './files/ownMark.ts'
export { type ApplyLutOptions, applyLutToFrames } from './run/applyLutToFrames.ts'
export { type BakeMatchOptions, bakeMatchFile } from './run/bakeMatchFile.ts'
export { type LoadedShow, loadShow } from './run/loadShow.ts'
export { type MatchShowOptions, matchShow, type ShowEvent, type ShowMatch } from './run/matchShow.ts'
export { type ProposeShowOptions, proposeShow, type ShowProposal } from './run/proposeShow.ts'
export { readChartFile } from './run/readChartFile.ts'
export { type ChartReadings, type ReadChartsOptions, readCharts } from './run/readCharts.ts'
export { type LutFile, lutFunction, parseLutFile, readLutFile } from './run/readLutFile.ts'
export { readShot, type ShotContext, type ShotReadings } from './run/readShot.ts'
export { writeProposal } from './run/writeProposal.ts'
export type { Drift } from './verify/drift.ts'
export {
  type Verification,
  type VerifiedCamera,
  type VerifyShowOptions,
  verifyShow,
} from './verify/verifyShow.ts'
