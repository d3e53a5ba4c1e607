export type { CameraState, LineUpState, PixelsPlace, RoundState } from './lineup/feed.ts'
