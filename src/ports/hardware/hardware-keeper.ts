import { DeviceLink } from '../device-link.ts';
import { lastingName } from './hardware-name.ts';
import { type MidiBinding, namesOf } from './midi-binding.ts';

/** Watches the list of hardware outputs, because writing to a device that was pulled out reports nothing. */
export interface HardwareKeeper {
  readonly link: DeviceLink;
  /** Looks once; the timer does the same. */
  look(): void;
  close(): Promise<void>;
}

/** @param name without `client:port` numbers, as `chooseHardware` gives it */
export function keepHardware(binding: MidiBinding, name: string): HardwareKeeper {
  const link = new DeviceLink();
  const client = new binding.Output();
  const look = (): void => {
    const there = namesOf(client).some((candidate) => lastingName(candidate) === name);
    if (link.present && (!there || link.reportedGone)) link.lost();
    else if (!link.present && there) link.opened();
  };
  look();
  const timer = setInterval(look, WATCH_MS);
  let closed = false;
  return {
    link,
    look,
    async close() {
      if (closed) return;
      closed = true;
      clearInterval(timer);
      client.destroy();
    },
  };
}

/** The sequencer answers in well under a millisecond; half a second is soon enough for a person. */
const WATCH_MS = 500;
