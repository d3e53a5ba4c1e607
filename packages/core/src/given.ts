/** `T` without the members that are undefined: an optional member is there with a value, or it is not there. */
type Given<T> = { [K in keyof T as undefined extends T[K] ? never : K]: T[K] } & {
  [K in keyof T as undefined extends T[K] ? K : never]?: Exclude<T[K], undefined>
}

/** The members that have a value, in their order: those that are undefined are left out. */
export function given<T extends object>(members: T): Given<T> {
  return Object.fromEntries(Object.entries(members).filter(([, value]) => value !== undefined)) as Given<T>
}
