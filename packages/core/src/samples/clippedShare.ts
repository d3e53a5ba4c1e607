/**
 * Share of its pixels (0…1) from which on a patch counts as clipped, where nobody asks for another: its mean then no
 * longer tells its light.
 */
export const defaultClippedShare = 0.01
