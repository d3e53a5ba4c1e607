import { InvalidArgumentError } from 'commander'

/** Four corners from `x,y x,y x,y x,y`; commas, semicolons and spaces separate alike. */
export function parseCorners(text: string): readonly (readonly [number, number])[] {
  const words = text.split(/[\s,;]+/).filter((word) => word !== '')
  const numbers = words.map(Number)
  if (numbers.length !== 8 || numbers.some((value) => !Number.isFinite(value)))
    throw new InvalidArgumentError('Expected eight numbers, such as "402,211 1490,236 1478,960 396,930".')
  return [0, 2, 4, 6].map((i) => [numbers[i]!, numbers[i + 1]!] as const)
}
