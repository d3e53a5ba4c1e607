/** The primaries of published standards, by name. */
export const primariesNames = ['bt709', 'bt2020', 'p3-d65', 'ap0', 'ap1'] as const

export type PrimariesName = (typeof primariesNames)[number]
