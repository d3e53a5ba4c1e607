export { type Camera, type ReadyCamera, readyCamera, type See } from './camera/camera.ts'
export { cameraMatrix } from './camera/cameraMatrix.ts'
export { type Development, develop, type RenderedFrame } from './camera/develop.ts'
export type { HarbourSetup } from './demo/harbourCameras.ts'
export {
  type HarbourChange,
  type HarbourFrame,
  type HarbourKitchen,
  type HarbourShot,
  renderHarbourKitchen,
} from './demo/renderHarbourKitchen.ts'
export type { ChartTruth, PatchTruth } from './frame/chartTruth.ts'
export type { ChartLook } from './frame/paintChart.ts'
export { type ChartFrame, type ChartFrameOptions, renderChartFrame } from './frame/renderChartFrame.ts'
export type { Point, Quad } from './picture/homography.ts'
export { blankPicture, type Picture } from './picture/picture.ts'
export type { Pose } from './picture/pose.ts'
export type { Conditions } from './scene/conditions.ts'
export { type ContactSheetEntry, contactSheet } from './scene/contactSheet.ts'
export { chartFreeScene, quietScene, type Scene, type SceneChart, scene } from './scene/scene.ts'
export { type Spectrum, wavelength } from './spectrum/grid.ts'
export { type Light, type LightName, lightNames, lightPower } from './spectrum/light.ts'
export { type Material, type MaterialKind, materials } from './spectrum/materials.ts'
export { type PatchLight, patchLight } from './spectrum/patchLight.ts'
export { patchReflectances } from './spectrum/patchReflectances.ts'
export { type SensorName, sensorCurves, sensorNames, sensorResponse } from './spectrum/sensorResponse.ts'
export { smoothReflectance } from './spectrum/smoothReflectance.ts'
export { xyzOf, xyzWeights } from './spectrum/xyzOf.ts'
export { builtInTerms } from './studio/builtInTerms.ts'
export { drawStudio, type StudioPair } from './studio/drawStudio.ts'
export {
  type StudioCamera,
  type StudioCameraSpec,
  type StudioTurn,
  studioCamera,
} from './studio/studioCamera.ts'
