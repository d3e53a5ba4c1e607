/**
 * For `controls` of a camera, in YAML and in JSON: it has none, so that nothing is worked out to be set at it, which takes a
 * third of the time of a match. For shows in tests that are about something else; what is told to be set has its own.
 */
export const noControls = { exposure: 'none', gains: 'none', matrix: 'none', pedestal: 'none' } as const
