import type { TimelineColumns } from '../../src/core/timeline/timeline.ts';

/**
 * An instrument of so many voices, played by messages one after another as they would come over a wire: the judge
 * of a fit, written apart from the one inside the fit and sharing nothing with it but the columns.
 */
export interface SimulatedTraits {
  readonly voices: number;
  readonly full: 'oldest' | 'released' | 'newest';
  readonly releaseMicros: number;
  /** Channels (0–15) whose keys are drums: they sound half a second at most. */
  readonly drums: readonly number[];
  /** Keys that have a sound there; undefined: all. */
  readonly drumKeys?: ReadonlySet<number>;
}

export interface SimulatedNote {
  readonly row: number;
  readonly tick: number;
  readonly channel: number;
  readonly key: number;
  readonly onMicros: number;
  /** Up to when it was heard; −1 where it never sounded. */
  heardUntil: number;
}

export interface SimulatedSong {
  readonly notes: readonly SimulatedNote[];
  /** Notes taken away while held by key or pedal, and notes not begun. */
  readonly cut: number;
}

interface Voice {
  readonly note: SimulatedNote;
  readonly isDrum: boolean;
  isKeyDown: boolean;
  isCaught: boolean;
  /** When its release began; undefined while it is held. */
  diesSince: number | undefined;
}

const DRUM_MICROS = 500_000;

export function playSimulated(
  columns: TimelineColumns,
  endMicros: number,
  traits: SimulatedTraits,
): SimulatedSong {
  const notes: SimulatedNote[] = [];
  const pressed = new Map<number, number>();
  const pedals = Array.from({ length: 16 }, () => new Set<number>());
  let voices: Voice[] = [];
  let cut = 0;

  const letGo = (voice: Voice, micros: number) => {
    const { channel } = voice.note;
    const isHeld = voice.isKeyDown || voice.isCaught || pedals[channel]!.has(64) || pedals[channel]!.has(69);
    if (isHeld || voice.diesSince !== undefined) return;
    voice.diesSince = micros;
    voice.note.heardUntil = micros;
  };
  const takeAway = (voice: Voice, micros: number) => {
    if (voice.diesSince === undefined) {
      voice.note.heardUntil = micros;
      cut += 1;
    }
    voices = voices.filter((other) => other !== voice);
  };
  const passTime = (micros: number) => {
    for (const voice of voices) {
      const over = voice.note.onMicros + DRUM_MICROS;
      if (voice.isDrum && voice.diesSince === undefined && over <= micros) {
        voice.diesSince = over;
        voice.note.heardUntil = over;
      }
    }
    voices = voices.filter(
      ({ diesSince }) => diesSince === undefined || diesSince + traits.releaseMicros > micros,
    );
  };
  const victim = (): Voice | undefined => {
    if (traits.full === 'newest') return undefined;
    const dying = voices.filter(({ diesSince }) => diesSince !== undefined);
    if (traits.full === 'released' && dying.length > 0) {
      return dying.reduce((first, voice) => (voice.diesSince! < first.diesSince! ? voice : first));
    }
    return voices[0]; // in order of their strikes
  };
  const strike = (row: number, channel: number, key: number, micros: number) => {
    const note = { row, tick: columns.tick[row]!, channel, key, onMicros: micros, heardUntil: -1 };
    notes.push(note);
    const place = channel * 128 + key;
    pressed.set(place, (pressed.get(place) ?? 0) + 1);
    passTime(micros);
    const isDrum = traits.drums.includes(channel);
    if (isDrum && traits.drumKeys?.has(key) === false) return;
    const same = voices.find((voice) => voice.note.channel === channel && voice.note.key === key);
    if (same !== undefined) {
      if (same.diesSince === undefined) same.note.heardUntil = micros;
      voices = voices.filter((voice) => voice !== same);
    }
    while (voices.length >= traits.voices) {
      const taken = victim();
      if (taken === undefined) {
        cut += 1;
        return;
      }
      takeAway(taken, micros);
    }
    note.heardUntil = endMicros;
    voices.push({ note, isDrum, isKeyDown: true, isCaught: false, diesSince: undefined });
  };
  const release = (channel: number, key: number, micros: number) => {
    const place = channel * 128 + key;
    const left = Math.max(0, (pressed.get(place) ?? 0) - 1);
    pressed.set(place, left);
    if (left > 0) return;
    passTime(micros);
    for (const voice of voices.filter(({ note }) => note.channel === channel && note.key === key)) {
      voice.isKeyDown = false;
      letGo(voice, micros);
    }
  };
  const control = (channel: number, number: number, value: number, micros: number) => {
    const own = voices.filter(({ note }) => note.channel === channel);
    if (number === 66) {
      const isDown = pedals[channel]!.has(66);
      if (value >= 64 && !isDown) for (const voice of own) voice.isCaught = voice.isKeyDown;
      if (value < 64) for (const voice of own) voice.isCaught = false;
    }
    if ([64, 66, 69].includes(number)) {
      if (value >= 64) pedals[channel]!.add(number);
      else pedals[channel]!.delete(number);
      for (const voice of own) letGo(voice, micros);
    } else if (number === 120) {
      for (const voice of own) {
        voice.note.heardUntil = voice.diesSince === undefined ? micros : voice.note.heardUntil;
      }
      voices = voices.filter(({ note }) => note.channel !== channel);
      for (let key = 0; key < 128; key += 1) pressed.delete(channel * 128 + key);
    } else if (number === 121) {
      pedals[channel]!.clear();
      for (const voice of own) {
        voice.isCaught = false;
        letGo(voice, micros);
      }
    } else if (number >= 123) {
      for (let key = 0; key < 128; key += 1) pressed.delete(channel * 128 + key);
      for (const voice of own) {
        voice.isKeyDown = false;
        letGo(voice, micros);
      }
    }
  };

  for (let row = 0; row < columns.count; row += 1) {
    const micros = columns.micros[row]!;
    const [kind, channel] = [columns.status[row]! & 0xf0, columns.status[row]! & 15];
    const [data1, data2] = [columns.data1[row]!, columns.data2[row]!];
    if (kind === 0x90 && data2 > 0) strike(row, channel, data1, micros);
    else if (kind === 0x80 || kind === 0x90) release(channel, data1, micros);
    else if (kind === 0xb0) {
      passTime(micros);
      control(channel, data1, data2, micros);
    }
  }
  passTime(endMicros);
  return { notes, cut };
}
