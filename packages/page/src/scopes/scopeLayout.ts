/** Where each scope stands on the common canvas of a camera, in its pixels. */
export const scopeLayout = {
  width: 480,
  height: 384,
  parade: { left: 0, top: 0, width: 480, height: 180, gap: 6 },
  luma: { left: 0, top: 192, width: 280, height: 192 },
  vector: { left: 288, top: 192, side: 192 },
} as const
