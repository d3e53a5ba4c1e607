/** Where the gains stand, and how probable that is before anything is known. */
export const chainOrders = { 'before-matrix': 0.75, 'after-matrix': 0.25 } as const

export type ChainOrder = keyof typeof chainOrders
