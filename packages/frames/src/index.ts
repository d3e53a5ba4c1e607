export { chartWithReference } from './cgats/chartWithReference.ts'
export { type CgatsFile, type CgatsOptions, type CgatsSample, parseCgats } from './cgats/parseCgats.ts'
export { chartToJson } from './chart-file/chartToJson.ts'
export { parseChart } from './chart-file/parseChart.ts'
export { checkShot, type ShotCheck, type ShotInput } from './check/checkShot.ts'
export { type ForeignContext, foreignPatches, type PatchFit } from './check/foreignPatches.ts'
export { markForeign } from './check/markForeign.ts'
export { rangeDoubt } from './check/rangeDoubt.ts'
export { type DrawOptions, drawSampling } from './draw/drawSampling.ts'
export { screenCode } from './draw/screenCode.ts'
export {
  type Confidence,
  type FindOptions,
  type FindResult,
  type FoundChart,
  findChart,
} from './find/findChart.ts'
export { type RefinedChart, refineChart } from './find/refine/refineChart.ts'
export {
  codeScaleOf,
  convertFrame,
  createFrame,
  type DecodedFrame,
  type Frame,
  type FrameBits,
} from './frame/frame.ts'
export { isRawTiff, type ReadAt } from './frame/isRawTiff.ts'
export { type ThinFrame, thinFrame, thinUnit } from './frame/thinFrame.ts'
export { homographyFromUnitSquare, mapQuad, type Point, project, type Quad } from './geometry/homography.ts'
export { parseReadings } from './readings/parseReadings.ts'
export { readingsToCsv } from './readings/readingsToCsv.ts'
export { type Corners, checkCorners } from './sample/area/corners.ts'
export { type ChartMap, chartMap, type PatchArea, patchAreas } from './sample/area/patchAreas.ts'
export { frameLight } from './sample/frameLight.ts'
export { type ChartSample, type SampledArea, type SampleRequest, sampleChart } from './sample/sampleChart.ts'
export { parseLight } from './spectra/parseLight.ts'
