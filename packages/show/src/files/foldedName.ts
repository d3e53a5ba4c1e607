/**
 * A name as a disk may take it for another: upper and lower case count as one, and so do the forms in which Unicode
 * writes one letter (é as one sign or two, ß and SS, ﬁ and fi). Names with the same fold may be one file.
 */
export const foldedName = (name: string): string =>
  // Twice, because folding may leave what composes anew.
  name.normalize('NFKC').toUpperCase().toLowerCase().normalize('NFKC').toUpperCase().normalize('NFKC')
