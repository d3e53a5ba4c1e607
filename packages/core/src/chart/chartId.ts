/** What a chart may be called. */
export const chartIdPattern = /^[A-Za-z0-9][A-Za-z0-9._-]*$/
