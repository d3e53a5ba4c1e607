/** Version of the command; a test compares it with package.json. Not taken from a package that would be loaded for it. */
export const version = '0.1.0'
