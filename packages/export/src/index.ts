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
export { type EncodedMatch, matchTransform } from './bake/matchTransform.ts'
export { type CubeFile, CubeReader, type CubeReadOptions } from './cube/cubeReader.ts'
export { readCube } from './cube/readCube.ts'
export { type CubeWriteOptions, cubeChunks, cubeWarnings, writeCube } from './cube/writeCube.ts'
export { curve } from './interpolate/curve.ts'
export { type Interpolation, lutTransform } from './interpolate/lutTransform.ts'
export { tetrahedral } from './interpolate/tetrahedral.ts'
export { trilinear } from './interpolate/trilinear.ts'
export {
  type CurveLut,
  checkLut,
  type LatticeLut,
  type Lut,
  type LutTable,
  lutLimits,
  type ShapedLut,
} from './lut/lut.ts'
