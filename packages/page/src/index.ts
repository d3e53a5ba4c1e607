export type { CameraState, LineUpState, PanelState, PixelsPlace, RoundState } from './lineup/feed.ts'
