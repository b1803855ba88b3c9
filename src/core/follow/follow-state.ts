/** How it stands with a clock that is followed. `none`: no clock is followed; the others as `ClockFollower` has them. */
export const FOLLOW_STATES = ['none', 'waits', 'armed', 'follows', 'lost'] as const;
export type FollowState = (typeof FOLLOW_STATES)[number];

/** Index of each state, for the sending thread, which only writes numbers. */
export const Follow = { none: 0, waits: 1, armed: 2, follows: 3, lost: 4 } as const;

/** What happens when the clock followed falls silent. */
export const LOST_CLOCK = ['continue', 'pause'] as const;
export type LostClock = (typeof LOST_CLOCK)[number];

/** The input that a followed clock comes from; `ended`: nothing more will ever come. */
export const ClockInput = { there: 0, lost: 1, ended: 2 } as const;
