import { describe, expect, test } from 'vitest';
import { barChart } from '../../../src/core/report/bar-chart.ts';
import { checkSong } from '../../../src/core/report/check-song.ts';
import { renderReport } from '../../../src/core/report/render-report.ts';
import { type CheckLine, renderTable } from '../../../src/core/report/render-table.ts';
import { shellWord } from '../../../src/core/report/render-verdict.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { cleanText } from '../../../src/screen/format/text-cleaning.ts';
import { npmSongs } from '../../support/package-songs.ts';
import { type DeltaEvent, meta, songBytes } from '../../support/song-bytes.ts';

const clean = (text: string) => cleanText(text);

function checkOf(file: string, bytes: Uint8Array) {
  const song = readSong(bytes);
  return checkSong(file, song, buildTimeline(song));
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
