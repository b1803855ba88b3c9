import type { Command } from '../../core/schedule/command.ts';
import type { ShowSong } from '../../core/show/show-set.ts';
import type { ReadSet } from '../../show/read-set.ts';
import type { FlagsOf } from '../options/flags-of.ts';
import type { PlayFlags } from '../options/play-flags.ts';

export type ShowFlags = FlagsOf<'show'>;

/** A song of a set as the flags that would play it alone. Ports named on the command line win over the set's. */
export function songFlags(song: ShowSong, { ports, map }: ReadSet, flags: ShowFlags): PlayFlags {
  const { json: _json, map: ownMap, ...shared } = flags;
  const port = flags.port.length > 0 ? flags.port : ports;
  const whichMap = flags.port.length > 0 ? ownMap : (ownMap ?? map);
  return {
    ...shared,
    port,
    ...(whichMap === undefined ? {} : { map: whichMap }),
    ...(song.from === undefined ? {} : { from: song.from }),
    ...(song.to === undefined ? {} : { to: song.to }),
    ...(song.instrument === undefined ? {} : { instrument: song.instrument }),
    // Whoever watches reads the song again, and has to fit it too.
    ...(song.fits ? { fit: true } : {}),
    tempo: flags.follow === undefined ? song.tempoPercent : 100,
    transpose: song.transposeSemitones,
    volume: song.volumePercent,
    mute: song.mute,
    solo: song.solo,
    countIn: 0,
    // A device that is away is waited for, and the song does not run on without it.
    wait: true,
    onPortLoss: 'pause',
  };
}

/** What the flags of a single song have no words for. */
export function songSetup(song: ShowSong): Command[] {
  return [...song.programs].map(([channel, program]) => ({ kind: 'program-override', channel, program }));
}
