/** Version of isochip, as files and reports name it; a test compares it with package.json. */
export const version = '0.1.0'
