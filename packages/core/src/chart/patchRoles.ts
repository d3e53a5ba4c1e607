/** What a patch is good for. A neutral takes part in grey-scale curves, a black tells flare, skin carries weight. */
export const patchRoles = ['neutral', 'black', 'white', 'skin', 'primary', 'secondary'] as const

export type PatchRole = (typeof patchRoles)[number]
