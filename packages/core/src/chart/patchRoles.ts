/**
 * What a patch is good for. A neutral, and a step of a grey scale, takes part in grey-scale curves, a black tells flare, skin
 * carries weight. A true black is a light trap, a lined hole: what a camera records there is its pedestal and flare; it is
 * no reflectance, and no colour to match.
 */
export const patchRoles = [
  'neutral',
  'black',
  'white',
  'step',
  'skin',
  'primary',
  'secondary',
  'true-black',
] as const

export type PatchRole = (typeof patchRoles)[number]
