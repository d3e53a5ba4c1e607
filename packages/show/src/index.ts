export {
  type MatchFile,
  type MatchFilePatch,
  matchFileText,
  type Provenance,
} from './match/matchFile.ts'
export { parseMatchFile } from './match/parseMatchFile.ts'
export { parseShow } from './showFile/parseShow.ts'
export {
  type BorrowedShot,
  defaultSetup,
  type FramesShot,
  type LutFormat,
  lutFormats,
  type ReadingsShot,
  type Shot,
  type Show,
  type ShowCamera,
  type ShowCorners,
  type ShowEncoding,
  type ShowOutput,
  type ShowPlace,
  type ShowTransfer,
  type Tolerance,
} from './showFile/show.ts'
