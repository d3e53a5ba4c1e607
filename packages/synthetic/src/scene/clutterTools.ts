import type { Vec3 } from '@isochip/core'
import type { Brush } from '../picture/brush.ts'
import type { GridLayer } from '../picture/gridLayer.ts'
import type { Pose } from '../picture/pose.ts'
import type { Random } from '../random.ts'

/** What the painters of clutter work with. */
export interface ClutterTools {
  readonly r: Random
  readonly brush: Brush
  /** The frame's width over its height: x runs over ± half of it, y over ± 0.5. */
  readonly wide: number
  /** A colour of some material, as the camera sees it. */
  readonly colour: (level?: number) => Vec3
  readonly grey: (level: number) => Vec3
  /** Paints a grid of patches somewhere; the pose's size is that of the grid. */
  readonly grid: (pose: Pose, layer: Omit<GridLayer, 'pitch' | 'patch'>, gap: number) => void
}
