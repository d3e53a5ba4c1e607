/** What is done at a simulated camera. */
export interface Turning {
  readonly camera: string
  /** By how much, in the units of its panel. */
  readonly turn?: Readonly<Record<string, number>>
  /** A group of controls, as was advised. */
  readonly asked?: string
  readonly shoot?: boolean
}

/** Sends it to the simulation, which tells what came of it by itself. */
export async function sendTurn(turning: Turning): Promise<void> {
  await fetch('studio', { method: 'POST', body: JSON.stringify(turning) }).catch(() => undefined)
}
