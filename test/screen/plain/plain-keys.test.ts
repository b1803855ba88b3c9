import { describe, expect, it } from 'vitest';
import type { Command } from '../../../src/core/schedule/command.ts';
import { KEY_TABLE } from '../../../src/screen/keys/key-table.ts';
import { describeChanges } from '../../../src/screen/plain/describe-changes.ts';
import { PlainKeys } from '../../../src/screen/plain/plain-keys.ts';
import { playIntoObserved } from '../../support/play-into-observed.ts';
import { screenSong } from '../../support/screen-song.ts';

/** Bar 5 of the test song; two notes of channel 12 hang since bar 2. */
const NOW = 8_100_000;

function keysAt(nowMicros = NOW) {
  const song = screenSong();
  const sent: Command[] = [];
  const observed = playIntoObserved(song.timeline!, nowMicros);
  const player = {
    observed,
    nowMicros: () => nowMicros,
    send: (command: Command) => void sent.push(command),
  };
  return { keys: new PlainKeys(player, song), sent, observed, song };
}

describe('keys without a screen', () => {
  it('every key of the table is answered in one line, and keeps its meaning after every other', () => {
    const { keys } = keysAt();
    const rows = KEY_TABLE.filter(({ only }) => only === undefined || only.includes('none'));
    expect(rows.length).toBeGreaterThan(40);
    for (const row of [...rows, ...rows.toReversed()]) {
      for (const key of row.keys) {
        expect(keys.press(key).line, key).toMatch(/^[^\n\r]+$/);
      }
    }
    expect(keys.press('3').line).toBe('number 3');
    expect(keys.press('m').line).toBe('channel 3 muted');
  });

  it('does to the music what the screen does', () => {
    const { keys, sent } = keysAt();
    for (const key of ['space', '1', '0', 's', 'z', 'q']) keys.press(key);
    expect(sent).toEqual([
      { kind: 'pause' },
      { kind: 'solo', channel: 9, on: true },
      { kind: 'silence-all' },
      { kind: 'quit' },
    ]);
  });

  it('tells in words what a view would show', () => {
    const { keys } = keysAt();
    expect(keys.press('h').line).toMatch(/ on channel 12: .*; .* on channel 12: /);
    keys.press('1');
    keys.press('2');
    expect(keys.press('c').line).toMatch(/^channel 12: .+, 2 notes sound$/);
    keys.press('z');
    expect(keys.press('l').line).toMatch(/^last done at .*: silenced everything/);
    expect(keys.press('?').line).toMatch(/^space: play or pause; z: silence everything; q: quit/);
    expect(keys.press('~').line).toBe('that key does nothing; ? tells the keys');
  });

  it('only Ctrl-Z wants the terminal', () => {
    const { keys } = keysAt();
    const asking = KEY_TABLE.flatMap(({ keys: names }) => names).filter(
      (key) => keys.press(key).ask === 'suspend',
    );
    expect(asking).toEqual(['ctrl-z']);
  });

  it('what was answered is not told a second time; what the music does is', () => {
    const { song, observed } = keysAt();
    const teller = describeChanges(song);
    teller.since(observed, NOW);
    observed.muted[2] = 1;
    expect(teller.since(observed, NOW, true)).toEqual([]);
    expect(teller.since(observed, NOW)).toEqual([]);
    observed.muted[2] = 0;
    expect(teller.since(observed, NOW)).toEqual(['channel 3 unmuted']);
  });
});
