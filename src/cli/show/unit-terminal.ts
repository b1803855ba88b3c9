import { Refusal } from '../../trouble/refusal.ts';

/** A terminal of the machine, as a unit has to know it. */
export interface UnitTerminal {
  /** Without its folder: `tty1`. */
  readonly name: string;
  /** The unit whose login is there otherwise. */
  readonly login: string;
  /** Further lines of the section `[Unit]`, '' for none. */
  readonly after: string;
  /** Its lines of the section `[Service]`. */
  readonly lines: string;
}

/** Of the kernel's virtual terminals; there are 63 (console(4)). */
const VIRTUAL = /^tty([1-9]|[1-5]\d|6[0-3])$/;
/** What stands behind a UART is named by its driver: ttyS0, ttyAMA0, ttyUSB0. */
const SERIAL = /^tty[A-Z][A-Za-z]*\d+$/;

/**
 * @param written as a person writes it, with `/dev/` or without
 * @param music ports of the show, and whatever else may name the same line
 * @throws {Refusal} where it is no terminal, or the music has it
 */
export function unitTerminal(written: string, music: readonly string[]): UnitTerminal {
  const name = written.replace(/^\/dev\//, '');
  const isVirtual = VIRTUAL.test(name);
  if (!isVirtual && !SERIAL.test(name)) {
    throw new Refusal('this is no terminal of a machine', `--service-tty ${written}`, 'write tty1, or ttyS0');
  }
  if (music.some((word) => new RegExp(`[:=]/dev/${name}(?![\\w-])`).test(word))) {
    const what = 'the music goes through this line, and it cannot be the terminal too';
    throw new Refusal(what, `--service-tty ${written}`, 'choose another for one of them');
  }
  return {
    name,
    login: `${isVirtual ? 'getty' : 'serial-getty'}@${name}.service`,
    // A serial line may be there later than the system.
    after: isVirtual ? '' : `BindsTo=dev-${name}.device\nAfter=dev-${name}.device\n`,
    lines: [
      'StandardInput=tty',
      'StandardOutput=tty',
      'StandardError=journal',
      `TTYPath=/dev/${name}`,
      'TTYReset=yes',
      'TTYVHangup=yes',
      // The login's text does not stay above the screen.
      ...(isVirtual ? ['TTYVTDisallocate=yes'] : []),
      // What systemd would say of them itself, named so that it can be changed.
      `Environment=TERM=${isVirtual ? 'linux' : 'vt220'}`,
    ].join('\n'),
  };
}
