import { Option } from 'commander'

/** For scripts that deliver nothing which has not been looked at. */
export const strictOption = (): Option =>
  new Option('--strict', 'exit with 3 where a match is doubtful, as where it is out of tolerance')
