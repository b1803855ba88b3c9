/** What the thread that hears a clock is started with, and what it says. Told `stop`, it ends. */
export interface FollowWork {
  readonly from: string;
  /** `KeptInput.link`. */
  readonly link: SharedArrayBuffer | undefined;
  readonly waitForDevice: boolean;
  /** Of the `ClockRing`. */
  readonly ring: SharedArrayBuffer;
}

export type FromFollower =
  | { readonly kind: 'ready' }
  | { readonly kind: 'thread'; readonly thread: number }
  | { readonly kind: 'trouble'; readonly trouble: string }
  | { readonly kind: 'refused'; readonly what: string; readonly where: string; readonly nextStep: string }
  | { readonly kind: 'fault'; readonly error: Error };
