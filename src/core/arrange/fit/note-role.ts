/** What a note is in its moment; the number stands in columns. */
export const Role = { beat: 0, top: 1, bottom: 2, inner: 3, octaveDouble: 4, unisonDouble: 5 } as const;

export type RoleNumber = (typeof Role)[keyof typeof Role];
