/** Letters: an input is small, and what it does to time and memory is judged by that. */
export const longest = 4e6
