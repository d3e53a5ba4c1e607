export { decodeFootage, type FootageOptions } from './node/decodeFootage.ts'
export { type DecodeOptions, decodeFrame } from './node/decodeFrame.ts'
export { type EncodeOptions, encodeFrame } from './node/encodeFrame.ts'
export { readHead, type SniffedFormat, sniffFormat } from './node/sniffFormat.ts'
