import { realpathSync } from 'node:fs';
import type { UnitTerminal } from './unit-terminal.ts';

/** What a unit starts, and where. */
export interface ServiceWishes {
  /** Absolute path of the set. */
  readonly setPath: string;
  /** What was typed besides, as words. */
  readonly options: readonly string[];
  /** Names of files among the options are seen from here; an absolute path. */
  readonly folder: string;
}

/**
 * A systemd unit of the user's own that starts the show with the machine and again after a fault (systemd.unit(5) and
 * systemd.service(5)). A show begun again goes on where it stopped.
 */
export function serviceUnit(wishes: ServiceWishes): string {
  return `# Put this into ~/.config/systemd/user/wirepit-show.service, then:
#   systemctl --user daemon-reload
#   systemctl --user enable --now wirepit-show
#   loginctl enable-linger "$USER"     (so that it starts without anybody logged in)
# What it does:  journalctl --user -u wirepit-show -f
[Unit]
Description=wirepit show

[Service]
${startLines(wishes, ['--headless', '--unattended'])}
[Install]
WantedBy=default.target
`;
}

/**
 * A unit of the system that has the show on a terminal of the machine, in the place of the login that is there otherwise
 * (systemd.exec(5), "Logging and Standard Input/Output"; what a login itself has: systemd's own getty@.service).
 * @param user who it runs as
 */
export function terminalUnit(
  wishes: ServiceWishes,
  { name, login, after, lines }: UnitTerminal,
  user: string,
): string {
  return `# Put this into /etc/systemd/system/wirepit-show.service, then, as root:
#   systemctl daemon-reload
#   systemctl enable --now wirepit-show
# What befalls it:       journalctl -u wirepit-show -f
# A login there again:   systemctl disable --now wirepit-show; systemctl start ${login}
[Unit]
Description=wirepit show on ${name}
# A board without a clock of its own plays sections of the day at the wrong hour until it has the time.
After=time-sync.target systemd-user-sessions.service
# Only one of the two can have the terminal.
Conflicts=${login}
After=${login}
${after}
[Service]
User=${percentDoubled(user)}
${lines}
${startLines(wishes, ['--unattended'])}
[Install]
WantedBy=multi-user.target
`;
}

function startLines({ setPath, options, folder }: ServiceWishes, always: readonly string[]): string {
  const words = [process.execPath, realpathSync(process.argv[1]!), 'show', setPath, ...always, ...options];
  return `WorkingDirectory=-${percentDoubled(folder)}
ExecStart=${words.map(quoted).join(' ')}
Restart=on-failure
RestartSec=3
# All was played that could be: over, and not to be begun again.
SuccessExitStatus=1
# A full silence of every key takes up to two seconds of the wire.
TimeoutStopSec=8
# Sending on time; without the right to it the show plays all the same.
LimitRTPRIO=40
LimitNICE=-11
`;
}

/** As systemd reads a command line: quotes where needed, % and $ doubled. */
function quoted(word: string): string {
  const safe = percentDoubled(word).replaceAll('$', '$$$$');
  return /^[\w@%+=:,./$-]+$/.test(safe) ? safe : `"${safe.replaceAll('\\', '\\\\').replaceAll('"', '\\"')}"`;
}

/** A lone % begins a specifier (systemd.unit(5), "Specifiers"). */
function percentDoubled(text: string): string {
  return text.replaceAll('%', '%%');
}
