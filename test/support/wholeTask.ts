/**
 * Some checks go through hundreds of tasks and take a part of them at each run of `npm test`, always the same one. With
 * `WHOLE=1` in the environment they take all.
 */
export const wholeTask = process.env.WHOLE === '1'
