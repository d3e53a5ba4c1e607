import { sine } from './parts/sine.ts'

/** Sine within 1 ulp. @param x radians, up to 1e5 either way */
export const sin = (x: number): number => sine(x, 0)
