/** The transfer characteristics of published standards, by name. */
export const transferNames = [
  'linear',
  'bt709',
  'bt2020',
  'bt1886',
  'srgb',
  'pq',
  'hlg',
  'acescc',
  'acescct',
] as const

export type TransferName = (typeof transferNames)[number]
