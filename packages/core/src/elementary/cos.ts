import { sine } from './parts/sine.ts'

/** Cosine within 1 ulp. @param x radians, up to 1e5 either way */
export const cos = (x: number): number => sine(x, 1)
