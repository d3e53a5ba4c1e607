/**
 * base ** exponent for a base of 0 or more, to a few units in the last place as long as the result is neither tiny nor
 * huge. Curves of pictures are worked out a hundred thousand times a LUT, and engines take half as long again for the
 * operator, whose last bit is right for whatever numbers.
 */
export const raised = (base: number, exponent: number): number => Math.exp(exponent * Math.log(base))
