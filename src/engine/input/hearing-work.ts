/** What the thread that hears an input is started with. Told anything, it ends. */
export interface HearingWork {
  readonly from: string;
  readonly waitForDevice: boolean;
  /** `KeptInput.link`. */
  readonly link?: SharedArrayBuffer | undefined;
  /** Of an `InputRing`. */
  readonly ring: SharedArrayBuffer;
  /** Of the `Wake` that the sending thread sleeps on. */
  readonly wake: SharedArrayBuffer;
}

export type FromHearing =
  | { readonly kind: 'thread'; readonly thread: number }
  | { readonly kind: 'ready' }
  | { readonly kind: 'refused'; readonly what: string; readonly where: string; readonly nextStep: string }
  | { readonly kind: 'trouble'; readonly trouble: string }
  | { readonly kind: 'fault'; readonly error: Error };
