/** What the server tells of a line-up, whole, whenever something has changed. */
export interface LineUpState {
  readonly title: string
  readonly setup: string
}
