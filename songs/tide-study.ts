import { Score } from './score.ts';

/**
 * "Tide Turning", a study for two hands in D minor. Someone practises in a room above the quay while the tide
 * turns: a song over flowing left-hand quavers (A), the water running out under right-hand semiquavers while
 * the left hand sings (B), and the song again, ornamented, ending in the major (A′).
 */
export function tideStudy(): Score {
  const score = new Score('Tide Turning: Study for Two Hands');
  const at = (bar: number, beat = 1) => score.at(bar, beat);
  score.resetModule();
  score.meter(0, 1, 4); // a beat for the module to come to itself
  score.meter(480, 4, 4);
  score.key(0, -1, 'minor');

  const right = score.part('Right hand', 0, { program: 0, volume: 104, pan: 64, reverb: 52, at: 240 });
  const left = score.part('Left hand', 0, { unevenness: 4 });

  // A: two sentences of eight bars (bars 2 to 17)
  score.marker(at(2), 'A: the song');
  right.play(
    at(2),
    `@mp @< d5/4. e5/8 f5/4 a5 | @mf g5/4. f5/8 bb5/4 a5/8 g5 | @mp e5/4. f5/8 g5/4 e5/8 c#5 | d5/4. e5/8 f5/2 |
     @< f5/4. e5/8 d5/4 f5 | @mf a5/4. g5/8 f5/4 c5 | @< bb4/4 d5/8 g5 f5/4 e5/8 d5 | @p d5/4~ c#5/2. |
     @mp @< d5/4. e5/8 f5/4 a5 | @mf bb5/4. a5/8 g5/4 d5 | @< g5/4. a5/8 bb5/4 g5/8 e5 | @f f5/4. g5/8 a5/2 |
     a5/4.! c6/8 bb5 a5 f#5 d5 | @< g5/4. a5/8 bb5/4 d5 | @mp f5/4 e5/8 d5 c#5/4 e5 | @p d5/2. -/4`,
    { gate: 0.97 },
  );
  right.play(
    at(6),
    `@p d4/2 f4 | f4/2 a4 | g4/2 bb4/4 g4 | e4/2. e4/4 |
     f4/2 a4/4 f4 | bb4/2 g4/4 bb4 | bb4/2 c5/4 bb4 | a4/4. bb4/8 c5/2 |
     @mp c5/2 a4 | bb4/2 g4 | @p a4/2 g4 | f4/2. -/4`,
    { gate: 0.98 },
  );
  left.play(
    at(2),
    `@p [d2/8 a2 d3 f3 a3 f3 d3 a2]*1 | d2 bb2 d3 g3 bb3 g3 d3 bb2 | c#2 a2 e3 g3 a3 g3 e3 a2 | d2 a2 d3 f3 a3 f3 d3 a2 |
     bb1 f2 bb2 d3 f3 d3 bb2 f2 | a1 f2 c3 f3 a3 f3 c3 f2 | g1 d2 bb2 d3 e2 bb2 d3 g3 | a1 e2 a2 d3 e3 c#3 a2 e2 |
     @mp d2 a2 d3 f3 a3 f3 d3 a2 | d2 bb2 d3 g3 bb3 g3 d3 bb2 | e2 c3 g3 bb3 c4 bb3 g3 c3 | f2 c3 f3 a3 c4 a3 f3 c3 |
     @mf f#2 c3 d3 a3 c4 a3 d3 c3 | g2 d3 g3 bb3 d4 bb3 g3 d3 | @mp a1 a2 d3 f3 a2 e3 g3 e3 | @p d2 a2 d3 f3 a3/2`,
    { gate: 0.95 },
  );

  // B: the left hand sings under semiquavers (bars 18 to 29)
  score.marker(at(18), 'B: the water runs out');
  score.key(at(18), -1, 'major');
  right.play(
    at(18),
    `@p [a4/16 c5 f5 c5]*4 | [g4 c5 e5 c5]*4 | [a4 d5 f5 d5]*4 | [bb4 d5 f5 d5]*2 [bb4 c5 e5 c5]*2 |
     @< [c5 f5 a5 f5]*4 | [d5 f5 bb5 f5]*4 | @mp [d5 g5 bb5 g5]*2 [c5 e5 bb5 e5]*2 | [c5 f5 a5 f5]*3 c5 f5 c6 a5 |
     @f a4+d5+f#5+a5/4.! a4+f#5+a5/8 c5+f#5+c6/4 c5+f#5+a5 | bb4+d5+g5+bb5/4.! bb4+d5+a5/8 bb4+d5+g5/4 g4+bb4+d5 |
     @ff bb4+eb5+g5/4.! bb4+eb5+f5/8 g4+bb4+eb5/4 bb4+eb5+g5 | c#5+e5+g5/2! @mf @< g5/16 e5 c#5 a4 g4 e4 c#4 a3 @p`,
    { gate: 0.92 },
  );
  left.play(
    at(18),
    `@mf -/8 c4/4 d4/8 c4/4 a3 | -/8 g3/4 a3/8 g3/4 e3 | -/8 f3/4 g3/8 a3/4 c4 | d4/4 c4 bb3 g3 |
     @< -/8 a3/4 bb3/8 c4/4 f4 | -/8 f4/4 e4/8 d4/4 bb3 | @f d4/4. c4/8 bb3/4 g3 | a3/2. c4/4`,
    { gate: 0.98 },
  );
  left.play(
    at(18),
    `@mp f2/1 | e2 | d2 | bb1/2 c2 | @mf a1/1 | bb1 | g1/2 c2 | f1/1 |
     @f d2+d3/2 f#2+f#3 | g2+g3 d2+d3 | @ff g2+g3 eb2+eb3 | a1+a2/1`,
    { gate: 0.97 },
  );

  // A′: the song comes back, and ends in the major (bars 30 to 41)
  score.marker(at(30), "A': the song returns");
  score.key(at(30), -1, 'minor');
  right.play(
    at(30),
    `@p d5/4 c#5/16 d5 e5/8 f5/4 a5/8 g#5/16 a5 | @< bb5/4. a5/16 bb5 g5/4 d5 | @mp e5/4 d#5/16 e5 f5/8 g5/4 e5/8 c#5 |
     @< d5/4. e5/8 f5/4 f#5/8 a5 | @mf bb5/4.! a5/8 g5/4 bb4 | a5/4. g5/8 f5/4 d5 | @< g5/4 f5/8 e5 d5/4 c#5 |
     @p d5/2. f5/4 | @< e5/4. d5/8 bb4/4 g4 | a4/4. d5/8 c#5/4 e5 | @pp d5/1 | f#4+a4+d5/1`,
    { gate: 0.97 },
  );
  right.play(at(34), '@p d5/2 g4 | f4/2 a4 | bb4/2 g4 | f4/1 | d4/2 e4 | f4/2 g4 | @pp f#4/2 g4/4 f#4', {
    gate: 0.97,
  });
  left.play(
    at(30),
    `@pp d2/8 a2 d3 f3 a3 f3 d3 a2 | @p d2 bb2 d3 g3 bb3 g3 d3 bb2 | c#2 a2 e3 g3 a3 g3 e3 a2 | d2 a2 d3 f3 f#2 c3 d3 a3 |
     @mp g2 d3 g3 bb3 d4 bb3 g3 d3 | a2 d3 f3 a3 d3 a3 f3 d3 | e2 bb2 d3 g3 a1 g2 c#3 e3 | @p bb1 f2 bb2 d3 f3 d3 bb2 f2 |
     g1 e2 bb2 d3 e3 d3 bb2 e2 | a1 a2 d3 f3 a2 e3 g3 e3 | @pp d2 a2 d3 f#3 a3/4 f#3/8 d3 | d2+d3/1`,
    { gate: 0.95 },
  );

  pedalling(score);
  rubato(score);
  return score;
}

/** New pedal with every harmony: each bar, and in mid-bar where the harmony changes there. */
function pedalling(score: Score): void {
  const halfBars = new Set([8, 16, 21, 24, 33, 36, 39]);
  const changes: number[] = [];
  for (let bar = 2; bar <= 41; bar += 1) {
    changes.push(score.at(bar));
    if (halfBars.has(bar)) changes.push(score.at(bar, 3));
  }
  score.parts[1]!.pedal(changes, score.at(42) + 240);
}

/** Phrases breathe: they press on towards their middle and give way at their end. */
function rubato(score: Score): void {
  const at = (bar: number, beat = 1) => score.at(bar, beat);
  score.tempo(0, 84);
  score.easeTempo(at(4), at(7), 84, 90);
  score.easeTempo(at(8), at(9, 3), 88, 70);
  score.tempo(at(10), 84);
  score.easeTempo(at(12), at(14), 86, 94);
  score.easeTempo(at(16), at(17, 3), 84, 66);
  score.tempo(at(18), 92);
  score.easeTempo(at(22), at(25), 92, 100);
  score.easeTempo(at(26), at(28), 94, 84);
  score.easeTempo(at(29), at(29, 4), 80, 54);
  score.tempo(at(30), 76);
  score.easeTempo(at(32), at(34), 78, 86);
  score.easeTempo(at(36), at(37, 3), 80, 66);
  score.easeTempo(at(38), at(40), 72, 58);
  score.easeTempo(at(40, 2), at(41), 56, 44);
}
