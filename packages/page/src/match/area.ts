/** An area that is sampled, in pixels of the frame. */
export interface Area {
  readonly patch: string
  readonly quad: readonly (readonly [x: number, y: number])[]
  readonly foreign: boolean
}
