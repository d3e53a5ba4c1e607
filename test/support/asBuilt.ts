import { fileURLToPath } from 'node:url'

/** Arguments of Node that start the command as built; those of the command come after. */
export const asBuilt = [fileURLToPath(new URL('../../packages/cli/bin/isochip.js', import.meta.url))]
