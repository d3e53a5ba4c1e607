export { type ReportFile, reportJson } from './data/reportJson.ts'
export { residualsCsv } from './data/residualsCsv.ts'
export { type Doubt, doubtCodes, doubtsOf } from './doubts.ts'
export { type Instruction, instructions, matrixConvention } from './lineup/instructions.ts'
export { type RestsOn, restsOn } from './lineup/restsOn.ts'
export { followWords, outcomeWords, type RoundWords, roundWords, touchedWords } from './lineup/roundWords.ts'
export { type OnSetLine, onSetLines } from './onSetWords.ts'
export { type PageOptions, reportHtml } from './page/reportHtml.ts'
export { cameraPairs, type Pair } from './pairs.ts'
export type {
  ComparisonFile,
  Fault,
  ResponseMapReport,
  ResponseReport,
  SetupResponses,
} from './responses/responseReport.ts'
export { responsesCsv } from './responses/responsesCsv.ts'
export { responsesHtml } from './responses/responsesHtml.ts'
export { responsesJson } from './responses/responsesJson.ts'
export { type ChangedPart, changeLimits, type SetupChange, setupChanges } from './setupChanges.ts'
export {
  type CameraPictures,
  type CameraReport,
  type FailedMatch,
  type FittedCamera,
  type InputFile,
  isFitted,
  type LineUpReport,
  type LutReport,
  type Picture,
  type SetupReport,
  type ShowReport,
  type Tolerance,
} from './showReport.ts'
export { checkLevels, type LevelsCheck, preferredLuma, preferredRange } from './signal/levels.ts'
export { markdown } from './text/markdown.ts'
export { residualTable, type TableOptions } from './text/residualTable.ts'
export { type Limit, type ShowVerdict, showState, showVerdict, type Verdict, verdict } from './verdict.ts'
export {
  cautionText,
  encodingText,
  furtherCautions,
  nextStep,
  showSentence,
  stateWords,
  targetText,
} from './words.ts'
