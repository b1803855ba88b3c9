/**
 * Who sits at the keys, where not everything is for them: `visitor` at a show that runs by itself, `onlooker` at a
 * screen that shows what plays elsewhere. `keys/key-roles.ts` says what each may do.
 */
export type KeyRole = 'visitor' | 'onlooker';
