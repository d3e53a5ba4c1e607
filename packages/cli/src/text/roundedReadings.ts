import type { Readings, Vec3 } from '@isochip/core'

/** A mean over thousands of 16-bit codes has six digits; one more, so that rounding is no part of its error. */
const digits = 7

/** Readings as a table shows them. */
export function roundedReadings({ patches }: Readings): Readings {
  return {
    patches: patches.map(({ rgb, sd, clipped, ...rest }) => ({
      ...rest,
      rgb: rounded(rgb),
      ...(sd === undefined ? {} : { sd: rounded(sd) }),
      ...(clipped === undefined ? {} : { clipped: round(clipped) }),
    })),
  }
}

const round = (value: number) => Number(value.toPrecision(digits))
const rounded = ([r, g, b]: Vec3): Vec3 => [round(r), round(g), round(b)]
