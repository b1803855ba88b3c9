import { describe, expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { LOAD_SLOT_MICROS, Slot } from '../../../src/core/observe/observed-state.ts';
import { paintLyrics } from '../../../src/screen/panels/lyrics-painter.ts';
import { paintMarkers } from '../../../src/screen/panels/marker-painter.ts';
import { messageOf } from '../../../src/screen/panels/message-painter.ts';
import { barCell, paintPosition, songBar } from '../../../src/screen/panels/position-painter.ts';
import { paintTransport } from '../../../src/screen/panels/transport-painter.ts';
import { paintWire } from '../../../src/screen/panels/wire-painter.ts';
import { lyricLinesOf } from '../../../src/screen/scene/lyric-lines.ts';
import {
  backlogMicros,
  highestLoad,
  loadBefore,
  loadHeight,
  loadsAcross,
  meanLoad,
} from '../../../src/screen/scene/wire-load.ts';
import { FIRST_STATE } from '../../../src/screen/state/screen-state.ts';
import { painted, sceneWith } from '../../support/scene.ts';
import { screenSong } from '../../support/screen-song.ts';

function at(positionMicros: number) {
  const observed = createObservedState();
  observed.numbers[Slot.positionMicros] = positionMicros;
  return observed;
}

describe('position bar', () => {
  const area = { x: 0, y: 0, width: 80, height: 1 };

  test('the playhead walks from the first cell to the last', () => {
    const { x, width } = songBar(area);
    const song = screenSong();
    for (const [micros, cell] of [
      [0, 0],
      [16_000_000, width / 2],
      [32_000_000, width - 1],
    ] as const) {
      const { lines } = painted(80, 1, (grid) =>
        paintPosition(grid, area, sceneWith({ song, observed: at(micros) })),
      );
      expect([...lines[0]!].indexOf('┃')).toBe(x + cell);
    }
  });

  test('clocks tell time played and time to go, both in song time whatever the tempo', () => {
    const observed = at(8_000_000);
    observed.numbers[Slot.tempoScale] = 0.5;
    const { lines } = painted(80, 1, (grid) => paintPosition(grid, area, sceneWith({ observed })));
    expect(lines[0]).toMatch(/^ {2}0:08 .* -0:24$/);
  });

  test('no song time lies outside the bar', () => {
    expect(barCell(-5, 100, 10)).toBe(0);
    expect(barCell(1e9, 100, 10)).toBe(9);
    expect(barCell(0, 0, 10)).toBe(0);
  });
});

describe('marker line', () => {
  const line = (parts: Parameters<typeof sceneWith>[0]) =>
    painted(80, 1, (grid, area) => paintMarkers(grid, area, sceneWith(parts))).lines[0]!;

  test('each marker stands at its place in the bar', () => {
    const { x, width } = songBar({ x: 0, y: 0, width: 80, height: 1 });
    const text = line({});
    for (const [name, quarter] of [
      ['Tide', 0],
      ['Quay', 1],
      ['Lamps', 2],
      ['Home', 3],
    ] as const) {
      expect(text.indexOf(`▾${name}`)).toBe(x + Math.floor((quarter * width) / 4));
    }
  });

  test('without markers bar numbers stand there', () => {
    expect(
      line({ song: screenSong({ markers: false }) })
        .trim()
        .split(/ +/),
    ).toEqual(['1', '3', '5', '7', '9', '11', '13', '15']);
  });

  test('a loop shows its ends, and one that is half set the end that is', () => {
    const observed = createObservedState();
    observed.numbers[Slot.loopFromMicros] = 8_000_000;
    observed.numbers[Slot.loopToMicros] = 16_000_000;
    const loop = line({ observed, song: screenSong({ markers: false }) });
    expect([...loop].indexOf('⟦')).toBe(7 + barCell(8_000_000, 32_000_000, 66));
    expect([...loop].indexOf('⟧')).toBe(7 + barCell(15_999_999, 32_000_000, 66));
    const half = line({ state: { ...FIRST_STATE, loopFromMicros: 8_000_000 } });
    expect(half).toContain('⟦');
    expect(half).not.toContain('⟧');
  });
});

describe('lyrics', () => {
  const lyric = (micros: number, text: string) => ({ micros, tick: 0, track: 0, text });

  test('syllables gather into lines at line ends, slashes and long pauses', () => {
    const lines = lyricLinesOf([
      lyric(0, 'wa'),
      lyric(1, 'ter\r'),
      lyric(2, 'slow'),
      lyric(3, 'ly'),
      lyric(4, '/turn'),
      lyric(9_000_000, 'home'),
    ]);
    expect(lines.map((line) => line.syllables.map((each) => each.text).join(''))).toEqual([
      'water',
      'slowly',
      'turn',
      'home',
    ]);
  });

  test('control characters in them never reach a cell', () => {
    const [line] = lyricLinesOf([lyric(0, '\u001b]52;c;AAAA\u0007la\u001b[2J')]);
    expect(line?.syllables[0]?.text).toBe('la');
  });

  test('what has been sung stands out', () => {
    const lyricLines = lyricLinesOf([lyric(0, 'one '), lyric(2_000_000, 'two')]);
    const scene = sceneWith({ lyricLines, observed: at(1_000_000) });
    const { grid, lines } = painted(40, 1, (cells, area) => paintLyrics(cells, area, scene));
    expect(lines[0]).toBe(' one two');
    expect(grid.style[1]).toBe(scene.theme.styles.lyric);
    expect(grid.style[5]).toBe(scene.theme.styles.lyricRest);
  });
});

describe('transport', () => {
  test('bar, meter and tempo; scale and transposition only when they are not as written', () => {
    const show = (observed = at(9_000_000)) =>
      painted(44, 1, (grid, area) => paintTransport(grid, area, sceneWith({ observed })))
        .lines[0]!.trim()
        .split(/ {2,}/);
    expect(show()).toEqual(['■ stopped 5:3', '4/4', '♩120']);
    const changed = at(9_000_000);
    changed.numbers[Slot.tempoScale] = 0.5;
    changed.numbers[Slot.transpose] = -3;
    expect(show(changed)).toEqual(['key -3', '×0.50 ■ stopped 5:3', '4/4', '♩60.0']);
  });
});

describe('wire load (31,250 baud is 3,125 bytes a second: MIDI 1.0, p. 1)', () => {
  function observedWith(bytesPerSlot: number, slots: number) {
    const observed = createObservedState();
    observed.numbers[Slot.bytesPerSecond] = 3_125;
    observed.numbers[Slot.loadSlot] = slots - 1;
    observed.loadBytes.fill(bytesPerSlot, 0, slots);
    return observed;
  }

  test('62.5 bytes in each 20 ms fill the wire', () => {
    const observed = observedWith(62.5, 100);
    observed.loadBytes.fill(62, 0, 100);
    expect(loadBefore(observed, 100 * LOAD_SLOT_MICROS, 500_000)).toBeCloseTo(62 / 62.5, 10);
  });

  test('a wire that has been silent since shows nothing of ten seconds ago', () => {
    const observed = observedWith(62, 512);
    expect(loadBefore(observed, 1_500 * LOAD_SLOT_MICROS, 500_000)).toBe(0);
  });

  test('backlog is what the wire still has to send', () => {
    const observed = createObservedState();
    observed.numbers[Slot.wireFreeMicros] = 5_000;
    expect([backlogMicros(observed, 2_000), backlogMicros(observed, 9_000)]).toEqual([3_000, 0]);
  });

  test('the plan ahead and behind', () => {
    const load = { shares: Float32Array.of(0.25, 0.5, 1, 0), windowMicros: 100_000 };
    expect(highestLoad(load, 0, 200_000)).toBe(0.5);
    expect(highestLoad(load, 100_000, 400_000)).toBe(1);
    expect(meanLoad(load, 0, 200_000)).toBeCloseTo(0.375);
    expect(meanLoad(load, 900_000, 1_000_000)).toBe(0);
  });

  test('the plan from end to end, for whichever song and width it is asked', () => {
    const rise = { shares: Float32Array.of(0.25, 0.5, 1, 0), windowMicros: 100_000 };
    const fall = { shares: Float32Array.of(1, 0.5), windowMicros: 200_000 };
    for (const [curve, durationMicros, stretches, loads] of [
      [rise, 400_000, 4, [0.25, 0.5, 1, 0]],
      [fall, 400_000, 4, [1, 1, 0.5, 0.5]],
      [rise, 400_000, 2, [0.5, 1]],
      [rise, 200_000, 2, [0.25, 0.5]],
      [rise, 200_000, 2, [0.25, 0.5]],
    ] as const) {
      expect([...loadsAcross(curve, durationMicros, stretches)]).toEqual(loads);
    }
  });

  test('the figure, the bar and the curve of the plan follow mute and solo', () => {
    const observed = observedWith(31, 100);
    observed.numbers[Slot.positionMicros] = 6_000_000;
    const show = () => {
      const scene = sceneWith({ observed, nowMicros: 6_000_000 });
      const [wire] = painted(100, 1, (grid, area) => paintWire(grid, area, scene)).lines;
      const [bar] = painted(40, 1, (grid, area) => paintPosition(grid, area, scene)).lines;
      return { plan: /plan (\d+)%/.exec(wire!)![1], ahead: wire!.split('ahead')[1]!, bar };
    };
    const all = show();
    observed.soloed[3] = 1;
    const one = show();
    observed.soloed[3] = 0;
    observed.muted.fill(1);
    const none = show();
    expect([all, one, none].map(({ plan }) => Number(plan))).toEqual([71, 4, 0]);
    expect(all.ahead).toContain('█');
    expect(one.ahead).toMatch(/^[▁▂ ]+$/);
    expect(none.ahead.trim()).toBe('');
    expect(all.bar).toContain('█');
    expect(one.bar).not.toMatch(/[▄-█]/);
    expect(none.bar).toMatch(/^ {2}0:06 ▁+┃▁+ -0:26$/);
  });

  test('a curve stands at the square root of the load, from nothing to full', () => {
    expect([0, 0.04, 0.25, 1, 3].map(loadHeight)).toEqual([0, 0.2, 0.5, 1, 1]);
  });

  test('the panel tells load, backlog, worst onset and where, and troubles only when there are any', () => {
    const observed = observedWith(31, 100);
    observed.numbers[Slot.worstOnsetLatenessMicros] = 12_480;
    observed.numbers[Slot.worstOnsetSongMicros] = 8_000_000;
    const show = () => {
      const scene = sceneWith({ observed, nowMicros: 2_000_000 });
      return painted(80, 2, (grid, area) => paintWire(grid, area, scene)).lines.join('\n');
    };
    expect(show()).toContain(' 50%');
    expect(show()).toContain('worst onset 12.5 ms at 5:1');
    expect(show()).not.toContain('left out');
    observed.numbers[Slot.skippedNoteOns] = 7;
    expect(show()).toContain('left out 7');
  });
});

describe('the line that speaks', () => {
  const stuck = [
    {
      channel: 2,
      key: 60,
      velocity: 1,
      cause: 'lost-off',
      ageMicros: 2_000_000,
      beganSongMicros: -1,
      releasedChannel: -1,
    },
  ] as const;
  const said = { text: 'paused', atMicros: 0 };

  test('port trouble goes before a word of ours, that before a stuck note', () => {
    const observed = createObservedState();
    const state = { ...FIRST_STATE, said };
    expect(messageOf(sceneWith({ observed, state, stuck }))?.texts[0]).toBe('paused');
    expect(messageOf(sceneWith({ observed, state, stuck, nowMicros: 5_000_000 }))?.texts[0]).toMatch(
      /^! C4 on 3 hangs 2\.0 s/,
    );
    observed.numbers[Slot.portTrouble] = 2;
    expect(messageOf(sceneWith({ observed, state, stuck }))?.texts[0]).toContain('mock is gone');
  });

  test('a number being typed goes before everything, and nothing to say is nothing', () => {
    expect(messageOf(sceneWith({ state: { ...FIRST_STATE, digits: '17' } }))?.texts[0]).toContain('17_');
    expect(messageOf(sceneWith())).toBeUndefined();
  });
});
