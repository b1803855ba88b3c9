import type { StreamRemark } from '../core/compare/log-remarks.ts';
import type { RtpCounts } from '../core/network/rtp-receiver.ts';
import type { WireTraits } from '../core/wire/wire-traits.ts';

/** What an input tells whoever listens. All calls come in the thread that opened it, never two at once. */
export interface InputSink {
  /**
   * @param chunk bytes as they came; good until the call returns
   * @param arrivedMicros run time at which the last of them was there
   */
  bytes(chunk: Uint8Array, arrivedMicros: number): void;
  /** The device went away; the input waits for it. */
  lost(): void;
  /** The device is there, for the first time or again. */
  back(): void;
  /** Something about what came that a record should say, as a phrase. */
  remark?(text: string): void;
  /** Whoever wrote down what comes saw something in the stream that its bytes here do not show, as this remark told. */
  told?(remark: StreamRemark, arrivedMicros: number): void;
  /** Whoever wrote down what comes stood still from one run time to another: what came then has a later time. */
  stoodStill?(fromMicros: number, toMicros: number): void;
  /**
   * Nothing more will come: a file was read to its end, standard input was closed.
   * @param trouble why nothing more can come, as a sentence without a full stop, where that is an error
   */
  ended(trouble?: string): void;
}

/** Somewhere MIDI bytes come from. The contract suite `test/ports/input-contract.ts` holds every input to this. */
export interface InputPort {
  /** As the user would name it on the command line. */
  readonly name: string;
  readonly wire: WireTraits;
  /**
   * True where bytes come at the pace of the wire, as from a UART: those before the last in a chunk then came
   * earlier, a byte time each. Others hand over whole messages, or as many as there are.
   */
  readonly paced: boolean;
  /** What comes was stamped by somebody else, long ago: whoever reads it may stand still, and no time changes. */
  readonly stamped?: boolean;
  /** Only where they come in packets: what became of them so far. */
  readonly packets?: Readonly<RtpCounts>;
  /** Begins to deliver. Called once. */
  start(sink: InputSink): void;
  /** Frees the device. May be called twice. Nothing is delivered afterwards. */
  close(): Promise<void>;
}

/** The run's clock, as inputs need it. */
export interface InputClock {
  nowMicros(): number;
}

export interface HowToListen {
  /** `KeptInput.link`, where a keeper lives in another thread. */
  readonly link?: SharedArrayBuffer | undefined;
  readonly clock: InputClock;
  /** Open even though the device is not there yet. */
  readonly waitForDevice: boolean;
  /** What has no clock of its own (a file): `wire` at the pace of its times or of the wire, `at-once` as fast as it goes. */
  readonly pace: 'wire' | 'at-once';
  /**
   * Look without sleeping for what follows the first byte after a rest, for a moment: the last byte of a message is then
   * stamped without the time it takes to wake. Only `serial:` does; it costs a processor's time.
   */
  readonly exact?: boolean;
}
