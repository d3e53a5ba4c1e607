import { apply3, resolvePrimaries, resolveTransfer, rgbToXyz, type Vec3 } from '@isochip/core'
import type { Spectrum } from '../spectrum/grid.ts'
import { lightPower } from '../spectrum/light.ts'
import { smoothReflectance } from '../spectrum/smoothReflectance.ts'

/** What the kitchen is painted with: sRGB as one would pick it, in daylight. */
const colours = {
  plaster: 'd9d2c3',
  tileTeal: '3f8580',
  tilePale: '8fb5a8',
  grout: 'c9c4b8',
  oak: 'a87c50',
  walnut: '5d4030',
  frame: 'e6e2d8',
  sky: 'c4d8ea',
  sea: '5f8398',
  quay: '7a7468',
  hull: 'a33c30',
  dusk: '2a3c66',
  duskSea: '18233a',
  lampGlass: 'f6dcae',
  lemon: 'e8c62e',
  leaf: '4d7a35',
  leafDark: '2f5228',
  terracotta: 'b5673f',
  bowl: '2f5f93',
  enamel: 'b5302c',
  copper: 'b8734a',
  crust: '9a6233',
  steel: '9a9c9d',
  oil: '8a8a2c',
  china: 'e9e6df',
  aubergine: '45284a',
  tomato: 'c43b27',
  linen: 'b9a88c',
  dark: '2b2a2a',
} as const

export type KitchenColour = keyof typeof colours

/** The kitchen's colours as spectra, so that each camera sees them with its own curves. */
export function kitchenSpectra(): ReadonlyMap<KitchenColour, Spectrum> {
  const transfer = resolveTransfer('srgb')
  const toXyz = rgbToXyz(resolvePrimaries('bt709'))
  const power = lightPower('D65')
  const spectrum = (hex: string) => {
    const light = (at: number) => transfer.decode(Number.parseInt(hex.slice(at, at + 2), 16) / 255, 0)
    const rgb: Vec3 = [light(0), light(2), light(4)]
    return smoothReflectance(apply3(toXyz, rgb), power)
  }
  return new Map(Object.entries(colours).map(([name, hex]) => [name as KitchenColour, spectrum(hex)]))
}
