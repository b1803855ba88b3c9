import { describe, expect, test } from 'vitest';
import { GENERAL_MIDI } from '../../../src/core/instrument/general-midi-instrument.ts';
import { barChart } from '../../../src/core/report/bar-chart.ts';
import type { CheckOptions } from '../../../src/core/report/check-options.ts';
import { checkSong } from '../../../src/core/report/check-song.ts';
import { renderReport } from '../../../src/core/report/render-report.ts';
import { type CheckLine, renderTable } from '../../../src/core/report/render-table.ts';
import { renderVerdict, shellWord } from '../../../src/core/report/render-verdict.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { cleanText } from '../../../src/screen/format/text-cleaning.ts';
import { npmSongs } from '../../support/package-songs.ts';
import { type DeltaEvent, meta, songBytes, sysEx, tempo } from '../../support/song-bytes.ts';

const clean = (text: string) => cleanText(text);

function checkOf(file: string, bytes: Uint8Array, options?: Partial<CheckOptions>) {
  const song = readSong(bytes);
  return checkSong(file, song, buildTimeline(song), options);
}

describe('bar chart', () => {
  const options = { rows: 2, top: 16, topLabel: '16', bottomLabel: '0' };

  test('eighths of a cell in two rows: sixteen heights', () => {
    expect(barChart([0, 1, 4, 8, 9, 16, 99], { ...options, ascii: false })).toEqual([
      '16 │    ▁██',
      ' 0 │ ▁▄████',
    ]);
  });

  test('in ASCII four heights a cell', () => {
    expect(barChart([0, 1, 4, 8, 10, 16], { ...options, ascii: true })).toEqual(['16 |    .#', ' 0 | .:###']);
  });

  test('nothing at all is drawn as nothing, whatever the top', () => {
    expect(barChart([0, Number.NaN], { ...options, top: 0, ascii: true })).toEqual(['16 |', ' 0 |']);
  });
});

describe('a report, line by line', () => {
  const at = (delta: number, ...bytes: number[]): DeltaEvent => [delta, bytes];
  const report = (events: readonly DeltaEvent[], options: Partial<CheckOptions>, mostFindings = 3) =>
    renderReport(checkOf('a.mid', songBytes([events]), options), { ascii: true, clean, mostFindings });
  const from = (lines: readonly string[], head: RegExp) => {
    const start = lines.findIndex((line) => head.test(line));
    const length = lines.slice(start).indexOf('');
    return start < 0 ? [] : lines.slice(start, length < 0 ? undefined : start + length);
  };

  test('of a song in which there is something of everything', () => {
    const events: DeltaEvent[] = [
      [0, meta(0x03, Buffer.from('Two Halves'))],
      [0, tempo(500_000)],
      [0, meta(0x59, [1, 0])],
      [0, meta(0x06, Buffer.from('A'))],
      [0, meta(0x05, Buffer.from('la'))],
      [0, meta(0x05, Buffer.from('li'))],
      [0, sysEx([0xf0, 0x7e, 0x7f, 9, 1, 0xf7])],
      [0, sysEx([0xf0, 0x7d, 1, 0xf7])],
      ...[at(0, 0xc0, 6), at(0, 0xb0, 7, 1), at(0, 0xb0, 10, 1), at(0, 0xe0, 0, 0x40), at(0, 0xd0, 3)],
      ...[at(0, 0x90, 60, 64), at(0, 0x90, 64, 64), at(0, 0x91, 62, 64)],
      ...[at(384, 0x80, 60, 0), at(0, 0x80, 64, 0), at(0, 0x81, 62, 0)],
      [0, tempo(250_000)],
      ...[at(0, 0x91, 62, 64), at(0, 0x91, 62, 64), at(0, 0x81, 62, 64)],
      ...[at(96, 0x82, 62, 64), at(0, 0xb3, 64, 127)],
    ];
    // In file order 26 bytes stand up to the last note of the first chord, 8.32 ms; the chord alone has 8, 2.56 ms.
    expect(report(events, { voices: 2, curvePoints: 8 })).toEqual([
      'a.mid',
      '  "Two Halves"',
      '  0:02, 2 bars; 4/4; 120-240 BPM (1 change); G major; 2 lyrics; 1 marker',
      '  format 0, 1 track, 96 ticks a quarter, 18 messages',
      '',
      'ch  program       notes  range  at once  bars  controllers',
      ' 1  Harpsichord       2  C4-E4        2  1-2   7 10 bend pressure',
      " 2  module's own      3  D4           1  1-2",
      " 3  module's own      0               0  2-2",
      " 4  module's own      0               0  2-2   64",
      '',
      'Polyphony: at most 3 keys at once (1:1, pedals included); 2 voices: too few for 2.0 s',
      '3 |########',
      '  |########',
      '  |########',
      '0 |########',
      '',
      'Instrument: General MIDI, 16 parts (assumed; --instrument says what is connected)',
      '  Channel 2: notes come before any program was sent (3 notes, 60 %, from bar 1, beat 1).',
      '',
      'Wire: 31250 baud, with running status; how late the last byte of a note-on is',
      '                latest note   at     rms  > 20 ms  peak 100 ms  mean   lead-in',
      'file order           8.3 ms  1:1  6.3 ms        0          8 %   1 %    0.0 ms',
      'packed               2.6 ms  1:1  1.6 ms        0          6 %   1 %  108.0 ms',
      'least possible       2.6 ms',
      'thinning has nothing to gain: packing is within one message of the least',
      'Load, the most of any 100 ms, packed',
      '100 % |',
      '      |',
      '      |',
      '  0 % |.      .',
      '',
      'Notes: 5; 1 never released, 1 struck while they sound, 1 without length, 1 released without a strike',
      'Pedals still down at the end: channel 4',
      'SysEx: 2 messages, 1 of them held back unless --allow-sysex is given',
      'General MIDI reset: General MIDI System On',
      '',
      'Findings',
      '  problem: The note on channel 2, key 62, at bar 2, beat 1 is never released there; a release stands on channel 3.',
      '  warning: Channel 2: a note has no length (times: 1); first key 62 at bar 2, beat 1.',
      '  warning: The damper pedal of channel 4 is still down at the end.',
      '  and 2 more (--json has them all)',
      '',
      'Verdict: fits with these changes',
      '  - 3 keys sound at once at bar 1, beat 1; the module has 2 voices, and too few for 2.0 s in all.',
      '  - The note on channel 2, key 62, at bar 2, beat 1 is never released there; a release stands on channel 3.',
      '  - A pedal of channel 4 is still down at the end.',
      '  --mute 1: leave out channel 1, so that 2 voices are enough',
      '  wirepit play --mute 1 a.mid',
    ]);
  });

  const NOTE = [at(0, 0xc0, 0), at(0, 0x90, 60, 64), at(96, 0x80, 60, 0)];

  test('of a song that fits there is no more than there is to say', () => {
    const lines = report(NOTE, { curvePoints: 4 });
    expect(
      lines.filter((line) => /^(Findings|Pedals|Instrument|SysEx|General|Verdict|Notes)/.test(line)),
    ).toEqual(['Notes: 1', 'SysEx: 0 messages', 'General MIDI reset: none', 'Verdict: fits']);
    expect(lines.slice(1, 3)).toEqual([
      '  0:00, 1 bar; 4/4; 120 BPM',
      '  format 0, 1 track, 96 ticks a quarter, 3 messages',
    ]);
    // One blank line between two sections, none where a section has nothing to say.
    expect(lines.filter((line, n) => line === '' && lines[n + 1] === '')).toEqual([]);
    expect(from(lines, /^ch/)[1]).toBe(' 1  Acoustic Grand Piano      1  C4           1  1-1');
    expect(from(lines, /^Polyphony/)).toEqual([
      'Polyphony: at most 1 key at once (1:1, pedals included); 24 voices',
      ...['1 |####', '  |####', '  |####', '0 |####'],
    ]);
  });

  test('without a note the chart of voices is empty, up to one', () => {
    expect(from(report([at(0, 0xb0, 7, 1)], { curvePoints: 4 }), /^Polyphony/)).toEqual([
      'Polyphony: at most 0 keys at once (1:1, pedals included); 24 voices',
      ...['1 |', '  |', '  |', '0 |'],
    ]);
  });

  const BOX = {
    ...GENERAL_MIDI,
    name: 'Box',
    voices: 1,
    parts: 1,
    releaseMicros: 250_000,
    keys: { low: 0, high: 59 },
  };

  test('an instrument that was named: what it lacks stands in the verdict', () => {
    const lines = report([...NOTE, ...NOTE], { instrument: BOX, instrumentName: 'box' });
    expect(from(lines, /^Instrument/)).toEqual(['Instrument: Box, 1 part, sounds die away for 250 ms']);
    expect(from(lines, /^Polyphony/)[0]).toBe(
      'Polyphony: at most 1 voice at once (1:1, pedals included); 1 voice',
    );
    expect(from(lines, /^Verdict/)).toEqual([
      'Verdict: fits with these changes',
      '  - Channel 1: keys that the instrument does not sound: C4 (2 notes, 100 %, from bar 1, beat 1).',
      '  --instrument box --out a-fitted.mid: wirepit fit writes the song anew for this instrument; check that one again',
      '  wirepit fit --instrument box --out a-fitted.mid a.mid',
    ]);
  });

  test('several: each with its port; what one lacks that nobody named stands below it, and only so much', () => {
    const seats = [
      { port: 'a', instrument: BOX, instrumentName: 'box', channels: [0, 1, 3] },
      {
        port: 'b',
        instrument: { ...BOX, releaseMicros: 0, parts: 2 },
        instrumentName: undefined,
        channels: [9],
      },
      { port: 'c', instrument: BOX, instrumentName: undefined, channels: [] },
    ];
    const drums = [at(0, 0x99, 3, 64), at(0, 0x99, 4, 64), at(96, 0x89, 3, 0), at(0, 0x89, 4, 0)];
    const lines = report([...NOTE, ...drums], { seats, map: 'm' });
    expect(lines.filter((line) => /^Instrument/.test(line))).toEqual([
      'Instrument at a: Box, channels 1-2,4, 1 part, sounds die away for 250 ms',
      'Instrument at b: Box (assumed), channel 10, 2 parts',
      'Instrument at c: Box (assumed), no channels, 1 part, sounds die away for 250 ms',
    ]);
    expect(from(lines, /^Polyphony/).slice(0, 4)).toEqual([
      'Polyphony at a: at most 1 voice at once (1:1, pedals included); 1 voice',
      'Polyphony at b: at most 2 keys at once (1:2, pedals included); 1 voice: too few for 0.5 s',
      'Polyphony at c: at most 0 keys at once (1:1, pedals included); 1 voice',
      'Where voices are nearest to running out:',
    ]);
    expect(lines[lines.indexOf('Instrument at b: Box (assumed), channel 10, 2 parts') + 1]).toMatch(
      /^ {2}b \(Box\): Channel 10: .* key 3, key 4 \(2 notes, 100 %/,
    );
    expect(report([...NOTE, ...drums], { seats, map: 'm' }, 0)).toContain('  and 1 more');
    expect(lines.find((line) => /^Wire/.test(line))).toBe(
      'Wire of b, the most pressed: 31250 baud, with running status; how late the last byte of a note-on is',
    );
  });

  test('what helps, though it is not enough, is told as such', () => {
    const ports = [[0, meta(0x21, [0])] as DeltaEvent, ...NOTE];
    const other = [
      [0, meta(0x21, [1])] as DeltaEvent,
      at(0, 0xc1, 0),
      at(0, 0x91, 60, 64),
      at(96, 0x81, 60, 0),
    ];
    const check = checkOf('a.mid', songBytes([ports, other]), { voices: 1 });
    expect(renderVerdict(check, { clean }).map((line) => line.slice(0, 36))).toEqual([
      'Verdict: does not fit',
      '  - 2 keys sound at once at bar 1, b',
      '  - The parts ask for 2 ports (0, 1)',
      'What helps, though it is not enough:',
      '  --mute 1: leave out channel 1, so ',
      '  wirepit play --mute 1 a.mid',
    ]);
  });
});

describe('the report of package songs', () => {
  for (const { name, bytes } of npmSongs()) {
    const check = checkOf(name, bytes);

    test(`${name}: plain ASCII when asked, and no line that wraps much`, () => {
      const lines = renderReport(check, { ascii: true, clean, mostFindings: 3 });
      const text = lines.join('\n');
      expect(text.replace(clean(check.song.title), '')).toMatch(/^[\x20-\x7e\n]*$/);
      for (const heading of ['Polyphony', 'Wire', 'Notes', 'SysEx', 'General MIDI reset', 'Verdict']) {
        expect(text).toContain(heading);
      }
      const measured = lines.filter((line) => !/^ {2}(wirepit|note|warning|problem|-|--)/.test(line));
      for (const line of measured) expect(line.length).toBeLessThanOrEqual(100);
      // Sentences may be broken by whoever prints them; tables may not.
      const tables = lines.filter((line) => /^(Wire:| {8}|file order|packed|ch | {0,2}\d+ {2})/.test(line));
      for (const line of tables) expect(line.length, line).toBeLessThanOrEqual(80);
    });
  }

  test('of notes and pedals it says what is wrong, and nothing where nothing is', () => {
    const content = (events: DeltaEvent[]) =>
      renderReport(checkOf('a.mid', songBytes([events])), { ascii: true, clean, mostFindings: 3 }).filter(
        (line) => /^(Notes|Pedals)/.test(line),
      );
    const note: DeltaEvent[] = [
      [0, [0x90, 60, 64]],
      [9, [0x80, 60, 64]],
    ];
    expect(content(note)).toEqual(['Notes: 1']);
    expect(content([...note, [9, [0x91, 60, 64]], [0, [0xb3, 64, 127]]])).toEqual([
      'Notes: 2; 1 never released',
      'Pedals still down at the end: channel 4',
    ]);
  });

  test('its head has length, meter and tempo, and no empty place for what the song has not', () => {
    const [, head] = renderReport(
      checkOf(
        'a.mid',
        songBytes([
          [
            [0, [0x90, 60, 64]],
            [96, [0x80, 60, 64]],
          ],
        ]),
      ),
      {
        ascii: true,
        clean,
        mostFindings: 3,
      },
    );
    expect(head).toBe('  0:00, 1 bar; 4/4; 120 BPM');
  });

  test('findings are listed worst first, and only so many', () => {
    const hanging = Array.from({ length: 5 }, (_, i): DeltaEvent => [0, [0x90, 60 + i, 64]]);
    const lines = renderReport(checkOf('a.mid', songBytes([hanging])), {
      ascii: true,
      clean,
      mostFindings: 3,
    });
    const listed = lines.filter((line) => /^ {2}(problem|warning|note):/.test(line));
    expect(listed).toHaveLength(3);
    expect(listed[0]).toContain('never released');
    expect(lines.some((line) => /and \d+ more/.test(line))).toBe(true);
  });

  test('a name with escape sequences reaches nobody’s terminal', () => {
    const evil = 'A\u001b]0;x\u0007\u001b[2JB';
    const bytes = songBytes([[[0, meta(0x03, Buffer.from(evil))]]]);
    const text = renderReport(checkOf(evil, bytes), { ascii: false, clean, mostFindings: 3 }).join('\n');
    expect(text).toContain('AB');
    expect(text).not.toContain('\u001b');
  });
});

test('the command line can be pasted into a shell (IEEE Std 1003.1, 2.2.2)', () => {
  expect(shellWord('songs/a-b_1.mid')).toBe('songs/a-b_1.mid');
  expect(shellWord("it's here.mid")).toBe("'it'\\''s here.mid'");
});

describe('the table of many songs', () => {
  const chord = (size: number): DeltaEvent[] => [
    ...Array.from({ length: size }, (_, i): DeltaEvent => [0, [0x90, 30 + i, 64]]),
    ...Array.from({ length: size }, (_, i): DeltaEvent => [i === 0 ? 96 : 0, [0x80, 30 + i, 64]]),
  ];
  const line = (file: string, size: number): CheckLine => ({
    kind: 'checked',
    check: checkOf(file, songBytes([chord(size)])),
  });
  const lines: CheckLine[] = [
    line('calm.mid', 2),
    line('busy.mid', 20),
    line('full.mid', 30),
    { kind: 'unreadable', file: 'torn.mid', reason: 'the file is empty' },
  ];

  test('one line a song, the most troubled first', () => {
    const shown = renderTable(lines, { ascii: true, clean });
    expect(shown.slice(1).map((text) => text.match(/\w+\.mid/)![0])).toEqual([
      'torn.mid',
      'full.mid',
      'busy.mid',
      'calm.mid',
    ]);
    // Of what was found in the file each trouble once, and no mere warning or note.
    const struckTwice: DeltaEvent[] = [60, 60, 61].map((key) => [0, [0x90, key, 64]]);
    const hanging = { kind: 'checked', check: checkOf('h.mid', songBytes([struckTwice])) } as const;
    expect(renderTable([hanging], { ascii: true, clean })[1]).toMatch(/ms {2}note-never-released$/);
    // A path is cut at its front, to 36 letters.
    const last36 = '0123456789abcdefghijklmnopqrstuvwxyz';
    const nameOf = (file: string, ascii: boolean) =>
      renderTable([line(file, 2)], { ascii, clean })[1]!.slice(9, 45);
    expect(nameOf(last36, true)).toBe(last36);
    expect(nameOf(`x${last36}`, false)).toBe(`…${last36.slice(1)}`);
    expect(nameOf(`xx${last36}`, true)).toBe(`..${last36.slice(2)}`);
    expect(shown[1]).toContain('the file is empty');
    expect(shown[2]).toContain('voices');
    // Of equal trouble: by name, wherever they stood.
    const names = ['b.mid', 'c.mid', 'a.mid'].map((file) => line(file, 2));
    expect(
      renderTable(names, { ascii: true, clean })
        .slice(1)
        .map((text) => text.match(/\w+\.mid/)![0]),
    ).toEqual(['a.mid', 'b.mid', 'c.mid']);
  });
});
