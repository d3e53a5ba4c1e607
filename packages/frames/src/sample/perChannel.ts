import type { Channel, Vec3 } from '@isochip/core'

/** Something of red, green and blue. */
export const perChannel = (of: (channel: Channel) => number): Vec3 => [of(0), of(1), of(2)]
