export {
  type ApplyOptions,
  applyLut,
  type PixelArray,
  type PixelRows,
  type PreparedLut,
  prepareLut,
} from './apply/applyLut.ts'
export { type BakeOptions, bakeLattice, type LutDomain, unitDomain } from './bake/bakeLattice.ts'
export { bakeMatch } from './bake/bakeMatch.ts'
export { bakeTransformNodes, type NodeKind, type NodeOptions } from './bake/bakeNodes.ts'
export { bakeShaped, type ShapedOptions } from './bake/bakeShaped.ts'
export { type BoundedOptions, boundedLattice } from './bake/bounded/boundedLattice.ts'
export type { IntegerNodes } from './bake/bounded/integerNodes.ts'
export { type ChooseOptions, type ChosenLattice, chooseLattice } from './bake/chooseLattice.ts'
export { compareTransforms, type Difference } from './bake/compareTransforms.ts'
export { type EncodedMatch, matchTransform } from './bake/matchTransform.ts'
export {
  type LutQuality,
  type MeasureOptions,
  measureLut,
  type RegionDifferences,
} from './bake/measureLut.ts'
export { outputLab } from './bake/outputLab.ts'
export { samplePoints } from './bake/samplePoints.ts'
export { type Cdl, cdlTransform } from './cdl/cdl.ts'
export { type FittedCdl, fitCdl } from './cdl/fitCdl.ts'
export { type CdlWriteOptions, writeCc, writeCdl } from './cdl/writeCdl.ts'
export { processListTransform } from './clf/evaluate.ts'
export { latticeOfNode, swapRedAndBlueOrder } from './clf/order.ts'
export type {
  BitDepth,
  CdlNode,
  ExponentNode,
  ExponentParameters,
  IndexMap,
  LogNode,
  LogNodeParameters,
  Lut1dNode,
  Lut3dNode,
  MatrixNode,
  ProcessList,
  ProcessNode,
  RangeNode,
} from './clf/processList.ts'
export { type ClfFile, type ClfReadOptions, readClf } from './clf/read/readClf.ts'
export type { ClfGeneration } from './clf/rules/generation.ts'
export { clfFromLut } from './clf/write/clfFromLut.ts'
export { type ClfMatch, type ClfMatchOptions, clfFromMatch } from './clf/write/clfFromMatch.ts'
export { decodingClf } from './clf/write/decodingClf.ts'
export { type LiveClfOptions, liveClfFromMatch } from './clf/write/liveClfFromMatch.ts'
export { type ClfWriteOptions, writeClf } from './clf/write/writeClf.ts'
export { type CubeFile, CubeReader, type CubeReadOptions } from './cube/cubeReader.ts'
export { readCube } from './cube/readCube.ts'
export { type CubeWriteOptions, cubeChunks, cubeWarnings, writeCube } from './cube/writeCube.ts'
export { curve } from './interpolate/curve.ts'
export { type Interpolation, lutTransform } from './interpolate/lutTransform.ts'
export { tetrahedral } from './interpolate/tetrahedral.ts'
export { trilinear } from './interpolate/trilinear.ts'
export { type CompareOptions, compareLuts } from './look/compareLuts.ts'
export {
  type ConcatenateOptions,
  chainTransforms,
  concatenateLuts,
  concatenateProcessLists,
} from './look/concatenate.ts'
export { invertMatch } from './look/invertMatch.ts'
export { type SeparatedLattice, separateLattice } from './look/separateLattice.ts'
export { transferTableOf } from './look/transferTableOf.ts'
export {
  type CurveLut,
  checkLut,
  type LatticeLut,
  type Lut,
  type LutTable,
  lutLimits,
  type ShapedLut,
} from './lut/lut.ts'
export { type OcioConfig, type OcioSpace, writeOcioConfig } from './ocio/writeOcioConfig.ts'
