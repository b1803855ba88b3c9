import { Score } from './score.ts';

/**
 * "Night Ferry", a small waltz in G for small machines: four channels, at most five notes at once, one track,
 * no controllers. The last ferry crosses the bay with one lamp at the bow.
 */
export function nightFerry(): Score {
  const score = new Score('Night Ferry');
  const at = (bar: number) => score.at(bar);
  score.meter(0, 3, 4);
  score.tempo(0, 126);
  score.key(0, 1, 'major');

  const flute = score.part('Flute', 0, { program: 73, unevenness: 0 });
  const harp = score.part('Harp', 1, { program: 46, unevenness: 0 });
  const bass = score.part('Bass', 2, { program: 32, unevenness: 0 });
  const drums = score.part('Drums', 9, { unevenness: 0 });

  flute.play(
    at(2),
    `@mf d5 b4 d5 | e5/2 b4/4 | c5 e5 g5 | f#5/2. | g5/4 f#5/8 e5 d5/4 | e5/4. d5/8 b4/4 | c5 a4 f#4 | g4/2. |
     @f g5/4 e5 c5 | d5/2 b4/4 | c5 e5 a5 | g5/2 e5/4 | g5/4. a5/8 g5/4 | d5 b4 g4 | c#5 e5 g5 | f#5 e5 d5 |
     @mf d5 b4 d5 | e5/2 b4/4 | c5 e5 g5 | f#5/2. | g5/4 f#5/8 e5 d5/4 | e5/4. d5/8 b4/4 | @mp c5/4 e5/8 d5 f#4/4 | g4/2.`,
    { gate: 0.95 },
  );
  harp.play(
    at(2),
    `@mp -/4 d4+b4?' d4+b4?' | - e4+g4' e4+g4' | - e4+g4' e4+g4' | - c4+a4' c4+a4' |
     - d4+b4' d4+b4' | - e4+g4' e4+g4' | - c4+e4' c4+d4' | - d4+b3' d4+b3' |
     - e4+g4' e4+g4' | - d4+g4' d4+g4' | - c4+e4' c4+e4' | - e4+b4' e4+b4' |
     - e4+g4' e4+g4' | - b3+d4' b3+d4' | - c#4+g4' c#4+g4' | - c4+f#4' c4+f#4' |
     - d4+b4' d4+b4' | - e4+g4' e4+g4' | - e4+g4' e4+g4' | - c4+a4' c4+a4' |
     - d4+b4' d4+b4' | - e4+g4' e4+g4' | - c4+e4' c4+d4' | b3/8 d4 g4 b4 d5 g5`,
  );
  bass.play(
    at(1),
    `@mf g2/4 d2 g1 | g2/2. | e2 | c2 | d2 | b1 | e2 | a1/4 d2/2 | g2/4 d2 g1 |
     c2/2. | b1 | a1 | e2 | c2 | g1 | a1 | d2/4 c2 b1? |
     g2/2. | e2 | c2 | d2 | b1 | e2 | a1/4 d2/2 | g1/2.`,
    { gate: 0.9 },
  );
  drums.drums(at(1), { stick: '---- x--- x---' }, 1, 'p');
  drums.drums(at(2), { kick: 'x--- ---- ----', closedHat: '---- x--- x---' }, 23, 'p');
  return score;
}
