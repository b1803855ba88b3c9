import { lamplightParade } from './lamplight-parade/lamplight-parade.ts';
import { nightFerry } from './night-ferry.ts';
import { scoreBytes } from './score-bytes.ts';
import { tangledNets } from './tangled-nets.ts';
import { tideStudy } from './tide-study.ts';

/** Every song of ours, and the file it is written to. */
export const SONGS: readonly { readonly file: string; readonly bytes: () => Uint8Array }[] = [
  { file: 'lamplight-parade.mid', bytes: () => scoreBytes(lamplightParade()) },
  { file: 'tide-study.mid', bytes: () => scoreBytes(tideStudy()) },
  { file: 'night-ferry.mid', bytes: () => scoreBytes(nightFerry(), { format: 0, shortReleases: true }) },
  { file: 'tangled-nets.mid', bytes: () => scoreBytes(tangledNets()) },
];
