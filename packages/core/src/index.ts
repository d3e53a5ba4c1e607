export type { OnSet, PrimaryShift } from './advise/onSet.ts'
export { builtinChart, builtinCharts } from './chart/builtin.ts'
export {
  type Chart,
  type ChartGeometry,
  type ChartLayout,
  type ChartPatch,
  type ChartPoint,
  type ChartReference,
  type ChartRegion,
  type GridChart,
  isGrid,
  isNeutral,
  type Landmark,
  type RegionChart,
} from './chart/chart.ts'
export { chartIdPattern } from './chart/chartId.ts'
export { type PatchRole, patchRoles } from './chart/patchRoles.ts'
export { regionArea, regionCentre, regionOf, twiceArea } from './chart/region.ts'
export { adaptation, type Cat } from './colour/adaptation.ts'
export { type BarName, bars75 } from './colour/bars75.ts'
export { ciede2000Jet, jetSize } from './colour/ciede2000.ts'
export { deltaE76, deltaEItp } from './colour/deltaE.ts'
export { deltaE00 } from './colour/deltaE00.ts'
export {
  type IlluminantName,
  illuminantNames,
  illuminantWhites,
  type Xy,
  xyzFromXy,
} from './colour/illuminants.ts'
export { type Lab65, labFromXyz65, xyzFromLab } from './colour/lab.ts'
export {
  type Primaries,
  type PrimariesSpec,
  primariesConversion,
  resolvePrimaries,
  rgbToXyz,
  xyzToRgb,
} from './colour/primaries.ts'
export { type PrimariesName, primariesNames } from './colour/primariesNames.ts'
export { labOfView } from './colour/viewing.ts'
export { labOfLinear, rgbToXyz65 } from './colour/working.ts'
export { type YCbCr, ycbcrOfCode } from './colour/ycbcr.ts'
export {
  compareResponses,
  type ObserverResponse,
  type ResponseComparison,
  type ResponseMap,
  type ResponsePair,
  type ResponsesInput,
} from './compare/compareResponses.ts'
export { principalAngles } from './compare/principalAngles.ts'
export {
  metamerismAssumptions,
  type SensitivityMetamerism,
  sensitivityMetamerism,
} from './compare/sensitivityMetamerism.ts'
export { encodingsOnChart } from './curve/encodingsOnChart.ts'
export { type MeasuredTransfer, type MeasureInput, measureTransfer } from './curve/measureTransfer.ts'
export type { TriedEncoding } from './curve/tryEncodings.ts'
export { type BootstrapOptions, bootstrapIntervals } from './diagnose/bootstrap.ts'
export { summarise } from './diagnose/summary.ts'
export { acos } from './elementary/acos.ts'
export { asin } from './elementary/asin.ts'
export { atan2 } from './elementary/atan2.ts'
export { cbrt } from './elementary/cbrt.ts'
export { cos } from './elementary/cos.ts'
export { exp } from './elementary/exp.ts'
export { exp2 } from './elementary/exp2.ts'
export { hypot } from './elementary/hypot.ts'
export { ln } from './elementary/ln.ts'
export { log2 } from './elementary/log2.ts'
export { log10 } from './elementary/log10.ts'
export { norm } from './elementary/norm.ts'
export { pow } from './elementary/pow.ts'
export { quickPow } from './elementary/quickPow.ts'
export { sin } from './elementary/sin.ts'
export {
  decodeRgb,
  type Encoding,
  type EncodingSpec,
  encodeRgb,
  resolveEncoding,
  resolveTransfer,
  type TransferSpec,
} from './encoding/encoding.ts'
export { type LogParameters, log } from './encoding/log.ts'
export { pqCode, pqLuminance, referenceWhite } from './encoding/pq.ts'
export { fractionFromNominal, nominalFromFraction, type Range } from './encoding/range.ts'
export { type TransferTable, table } from './encoding/table.ts'
export type { Channel, Transfer } from './encoding/transfer.ts'
export { type TransferName, transferNames } from './encoding/transferNames.ts'
export * from './errors.ts'
export { type FitPatchesOptions, fitPatches, type PatchFit } from './fit/fitPatches.ts'
export { given } from './given.ts'
export type { Mat3, Vec3 } from './linear/mat3.ts'
export {
  apply3,
  determinant3,
  diagonal3,
  identity3,
  inverse3,
  invert3,
  map3,
  multiply3,
} from './linear/mat3.ts'
export type { TurnAdvice } from './lineup/adviseTurn.ts'
export { builtInMatrices } from './lineup/chain/builtInMatrices.ts'
export type { ChainBelief, MatrixPrior } from './lineup/chain/learnChain.ts'
export type { MatrixTerms, Turn, TurnGroup } from './lineup/controls.ts'
export { type EarlierRound, type LineUpOptions, type LineUpRound, lineUp } from './lineup/lineUp.ts'
export { type Controls, clicksOfTurn, pedestalInLight } from './lineup/panel.ts'
export { settingBack } from './lineup/settingBack.ts'
export { settingOf } from './lineup/settingOf.ts'
export type { GreyWord } from './lineup/shot/greyScale.ts'
export type { TurnStage } from './lineup/stagesDown.ts'
export { matchCamera } from './match/matchCamera.ts'
export type { MatchInput } from './match/matchInput.ts'
export type { FitOptions } from './match/options.ts'
export { referenceMatch } from './match/referenceMatch.ts'
export type {
  BudgetPart,
  CameraMatch,
  CurveCorrection,
  CurveTerm,
  Diagnosis,
  EncodingDoubt,
  Evenness,
  FittedMatch,
  Interval,
  Intervals,
  PatchResult,
  ReferenceMatch,
  ResidualBudget,
  Setting,
  Stages,
  Summaries,
  Summary,
} from './match/result.ts'
export type { ShotMatch } from './match/shotMatch.ts'
export { applyModel, type Conversion, type LightModel, type MatchModel } from './model/model.ts'
export { type ModelKind, modelKinds } from './model/modelKind.ts'
export { type ColourMap, modelMap } from './model/modelMap.ts'
export { type AffineParts, joinAffine, splitAffine } from './model/splitAffine.ts'
export { colourSurprise, type Surprise, type SurpriseInput } from './prior/colourSurprise.ts'
export type { ExpectedDifference } from './prior/expectedDifference.ts'
export { seededRandom } from './random.ts'
export type { PatchReading, Readings } from './readings.ts'
export { defaultClippedShare } from './samples/clippedShare.ts'
export { type PatchLight, patchLights } from './samples/patchLights.ts'
export { type LeastSquaresFit, leastSquares } from './solver/leastSquares.ts'
export type { LeastSquaresProblem } from './solver/leastSquaresProblem.ts'
export {
  type LeastSquaresSolution,
  type LevenbergMarquardtOptions,
  levenbergMarquardt,
} from './solver/levenbergMarquardt.ts'
export { rankTolerance } from './solver/tolerances.ts'
export { chartInLight, type NamedLight, spectrumColour } from './spectra/chartInLight.ts'
export type { Spectrum } from './spectra/spectrum.ts'
export { type KernelFunctions, type KernelMemory, kernelPage, startKernel } from './startKernel.ts'
export {
  type ConsensusMember,
  type Target,
  type TargetSpec,
  targetFromCamera,
  targetFromConsensus,
  targetFromReference,
} from './target/target.ts'
export type { WarningCode } from './warningCode.ts'
