/** What is wrong with a list of wavelengths, nm: they ascend, and colours need them from 400 to 700. */
export function wavelengthFault(nm: readonly number[]): string | undefined {
  const at = nm.findIndex((one, i) => i > 0 && !(one > nm[i - 1]!))
  if (at > 0) return `wavelength ${nm[at]} after ${nm[at - 1]} where they are expected to ascend`
  const [first = Number.NaN, last = Number.NaN] = [nm[0], nm.at(-1)]
  if (!(first <= 400 && last >= 700)) return `${first}…${last} nm where 400…700 nm at least are expected`
  const gap = nm.findIndex((one, i) => i > 0 && one <= 720 && one - nm[i - 1]! > 20.001)
  return gap > 0
    ? `nothing between ${nm[gap - 1]} and ${nm[gap]} nm where steps of at most 20 nm are expected`
    : undefined
}
