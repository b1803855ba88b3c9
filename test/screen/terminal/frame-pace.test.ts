import { describe, expect, it } from 'vitest';
import { FramePace } from '../../../src/screen/terminal/frame-pace.ts';

interface Link {
  readonly bytesPerSecond: number;
  /** There and back, without queues. */
  readonly roundTripMillis: number;
  readonly isAnswering?: boolean;
  /** What the system says of the line. */
  readonly saidBytesPerSecond?: number;
  /** Between these two moments nothing gets through. */
  readonly silence?: readonly [number, number];
}

/**
 * A pace before a network that swallows everything at once (as an SSH connection does) and lets it out at its
 * own rate: returns when each frame was drawn and how long it was on its way.
 */
function drive(link: Link, frameBytes: (at: number) => number, untilMillis: number, isUrgent = false) {
  const pace = new FramePace();
  if (link.saidBytesPerSecond !== undefined) pace.lineCarries(link.saidBytesPerSecond);
  const frames: { at: number; shownAfter: number }[] = [];
  const answers: number[] = [];
  let free = 0;
  function send(now: number, bytes: number, isAsking: boolean): void {
    free = Math.max(free, now) + (bytes * 1000) / link.bytesPerSecond;
    const { silence } = link;
    if (silence !== undefined && free > silence[0] && free < silence[1]) free = silence[1];
    frames.push({ at: now, shownAfter: free + link.roundTripMillis / 2 - now });
    pace.writing(now, bytes, isAsking);
    pace.written(now);
    if (isAsking && link.isAnswering !== false) answers.push(free + link.roundTripMillis);
  }
  send(0, 60, true);
  for (let now = 0; now < untilMillis; now++) {
    while (answers.length > 0 && answers[0]! <= now) {
      answers.shift();
      pace.answered(now);
    }
    if (now < pace.earliest(isUrgent)) continue;
    const bytes = frameBytes(frames.length);
    const isAsking = pace.shouldAsk(now, bytes);
    pace.drawn(now, isUrgent);
    send(now, bytes, isAsking);
  }
  return frames.slice(1);
}

const perSecond = (frames: { at: number }[], from: number, to: number) =>
  (frames.filter(({ at }) => at >= from && at < to).length * 1000) / (to - from);
const worstAfter = (frames: { at: number; shownAfter: number }[], from: number) =>
  Math.max(...frames.filter(({ at }) => at >= from).map(({ shownAfter }) => shownAfter));

describe('frames', () => {
  it('come twelve times a second on a fast link, and after keys at most fifteen', () => {
    const fast = { bytesPerSecond: 1e6, roundTripMillis: 2 };
    expect(
      perSecond(
        drive(fast, () => 300, 10_000),
        0,
        10_000,
      ),
    ).toBeCloseTo(12, 0);
    expect(
      perSecond(
        drive(fast, () => 300, 10_000, true),
        0,
        10_000,
      ),
    ).toBeCloseTo(15, 0);
  });

  it('come as often on a link that is far away but wide', () => {
    const far = { bytesPerSecond: 1e6, roundTripMillis: 400 };
    expect(
      perSecond(
        drive(far, () => 300, 20_000),
        5_000,
        20_000,
      ),
    ).toBeGreaterThan(11);
  });

  it('come as often on 2 kB/s when they fit, also after the first large one', () => {
    const narrow = { bytesPerSecond: 2000, roundTripMillis: 60 };
    const frames = drive(narrow, (frame) => (frame === 1 ? 3000 : 110), 30_000);
    expect(perSecond(frames, 15_000, 30_000)).toBeGreaterThan(10);
    expect(worstAfter(frames, 15_000)).toBeLessThan(300);
  });

  it('come more rarely when they do not fit, so that each is shown soon', () => {
    const narrow = { bytesPerSecond: 2000, roundTripMillis: 60 };
    const frames = drive(narrow, () => 400, 60_000);
    expect(worstAfter(frames, 10_000)).toBeLessThan(500);
    // The link carries five such frames a second; at least half of it is used.
    expect(perSecond(frames, 10_000, 60_000)).toBeGreaterThan(2.5);
  });

  it('wait for each other when each is large, so that a key waits for one at most', () => {
    const narrow = { bytesPerSecond: 2000, roundTripMillis: 60 };
    const frames = drive(narrow, () => 1400, 60_000);
    expect(worstAfter(frames, 10_000)).toBeLessThan(800);
    expect(perSecond(frames, 10_000, 60_000)).toBeGreaterThan(1.2);
  });

  it.each([80, 150, 300, 600])(
    'of %i bytes on a serial console of 9,600 baud: shown soon, and the line well used',
    (bytes) => {
      const console = { bytesPerSecond: 960, roundTripMillis: 5 };
      const frames = drive(console, () => bytes, 90_000);
      // Its own time on the line, and no more than half a second behind others.
      expect(worstAfter(frames, 10_000)).toBeLessThan((bytes * 1000) / 960 + 500);
      const used = perSecond(frames, 10_000, 90_000) * bytes;
      expect(used).toBeGreaterThan(0.55 * 960);
      expect(used).toBeLessThan(1.01 * 960);
    },
  );

  it.each([80, 300, 600])('of %i bytes to a console of 9,600 baud that never answers: as soon', (bytes) => {
    const mute = { bytesPerSecond: 960, roundTripMillis: 5, isAnswering: false, saidBytesPerSecond: 800 };
    const live = drive(mute, () => bytes, 90_000);
    expect(worstAfter(live, 10_000)).toBeLessThan((bytes * 1000) / 960 + 110);
    expect(perSecond(live, 10_000, 90_000) * bytes).toBeGreaterThan(0.75 * 960);
    expect(
      worstAfter(
        drive(mute, () => bytes, 90_000, true),
        10_000,
      ),
    ).toBeLessThan((bytes * 1000) / 960 + 260);
  });

  it('stop while nothing gets through, but for one now and then, and run on afterwards', () => {
    const broken = { bytesPerSecond: 1e5, roundTripMillis: 50, silence: [10_000, 25_000] as const };
    const frames = drive(broken, () => 300, 40_000);
    expect(perSecond(frames, 11_000, 24_000)).toBeLessThan(0.5);
    expect(perSecond(frames, 30_000, 40_000)).toBeGreaterThan(11);
  });

  it('come twelve times a second to a terminal that never answers', () => {
    const mute = { bytesPerSecond: 1e6, roundTripMillis: 2, isAnswering: false };
    const frames = drive(mute, () => 300, 30_000);
    expect(perSecond(frames, 10_000, 30_000)).toBeCloseTo(12, 0);
  });
});

describe('the first frame', () => {
  it('does not wait for the answer to the question that came with taking over', () => {
    const pace = new FramePace();
    pace.writing(0, 45, true);
    pace.written(0);
    expect(pace.earliest(true)).toBeLessThan(300);
    pace.drawn(300, true);
    pace.writing(300, 2500, pace.shouldAsk(300, 2500));
    pace.written(300);
    // The next one does.
    expect(pace.earliest(true)).toBeGreaterThan(500);
    pace.answered(350);
    pace.answered(390);
    expect(pace.earliest(true)).toBeLessThan(400);
  });
});

describe('a write that takes long', () => {
  it('holds the next frame until it is over, and makes frames rarer', () => {
    const pace = new FramePace();
    pace.drawn(0, false);
    pace.writing(0, 300, false);
    expect(pace.earliest(true)).toBe(Number.POSITIVE_INFINITY);
    pace.written(900);
    expect(pace.intervalMillis).toBeGreaterThan(120);
    expect(pace.earliest(false)).toBeLessThan(900);
  });
});

describe('a frame for a key', () => {
  it('comes at once behind a live one, and the next live one later', () => {
    const pace = new FramePace();
    pace.drawn(1000, false);
    expect(pace.earliest(true)).toBeLessThan(1000);
    pace.drawn(1005, true);
    expect(pace.earliest(false)).toBeCloseTo(1005 + 1000 / 12);
    expect(pace.earliest(true)).toBeCloseTo(1005 + 1000 / 15);
  });
});
