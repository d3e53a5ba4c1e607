/**
 * A double and its upper 32 bits (sign, exponent, 20 bits of the fraction): write `double[0]`, read `words[high]`. Reading
 * part of what was just written is quick; to write a part and read the whole makes a processor wait, so nothing does that.
 */
export const double: Float64Array = new Float64Array(1)
export const words: Int32Array = new Int32Array(double.buffer)

/** Which of the two words is the upper one is the machine's affair. */
export const high: number = new Uint8Array(new Uint16Array([1]).buffer)[0] === 1 ? 1 : 0
