import { realpathSync } from 'node:fs';
import type { ShowFlags } from './song-flags.ts';

/**
 * A systemd unit of the user's own that starts the show with the machine and again after a fault (systemd.unit and
 * systemd.service of systemd's manual). A show begun again goes on where it stopped.
 */
export function serviceUnit(setPath: string, flags: ShowFlags): string {
  const ports = flags.port.flatMap((port) => ['--port', port]);
  const map = flags.map === undefined ? [] : ['--map', flags.map];
  const along = flags.thruFrom === undefined ? [] : ['--thru-from', flags.thruFrom];
  const alongOn = flags.thruChannel === undefined ? [] : ['--thru-channel', flags.thruChannel];
  const follow =
    flags.follow === undefined ? [] : ['--follow', flags.follow, '--on-clock-loss', flags.onClockLoss];
  const words = [
    process.execPath,
    realpathSync(process.argv[1]!),
    'show',
    setPath,
    '--headless',
    '--unattended',
    ...ports,
    ...map,
    ...along,
    ...alongOn,
    ...follow,
  ];
  return `# Put this into ~/.config/systemd/user/wirepit-show.service, then:
#   systemctl --user daemon-reload
#   systemctl --user enable --now wirepit-show
#   loginctl enable-linger "$USER"     (so that it starts without anybody logged in)
# What it does:  journalctl --user -u wirepit-show -f
[Unit]
Description=wirepit show
# A board without a clock of its own plays sections of the day at the wrong hour until it has the time.
After=time-sync.target

[Service]
ExecStart=${words.map(quoted).join(' ')}
Restart=on-failure
RestartSec=3
# A full silence of every key takes up to two seconds of the wire.
TimeoutStopSec=8
# Sending on time; without the right to it the show plays all the same.
LimitRTPRIO=40
LimitNICE=-11

[Install]
WantedBy=default.target
`;
}

/** As systemd reads a command line: quotes where needed, % and $ doubled. */
function quoted(word: string): string {
  const safe = word.replaceAll('%', '%%').replaceAll('$', '$$$$');
  return /^[\w@%+=:,./$-]+$/.test(safe) ? safe : `"${safe.replaceAll('\\', '\\\\').replaceAll('"', '\\"')}"`;
}
