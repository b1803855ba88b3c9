// Plays our songs in a real terminal (a pty and an emulator) and keeps what the screen shows, as text and as a
// picture, in docs/screens/ and in the README: `npm run screens`. It is what a person would see, not a drawing.
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { runInPty } from '../test/support/pty-run.ts';
import { ROOT, WIREPIT } from '../test/support/run-wirepit.ts';
import { DARK, gridSvg, LIGHT } from './grid-svg.ts';

interface Shot {
  readonly name: string;
  readonly size: readonly [columns: number, rows: number];
  readonly args: readonly string[];
  /** Wait for this text, then press these keys, which open what shows the last. */
  readonly steps: readonly (readonly [waitFor: RegExp, keys: string, opens?: RegExp])[];
  readonly light?: boolean;
}

const DEMO = ['songs/lamplight-parade.mid', '--from', '61'];
const TROUBLED = ['songs/tangled-nets.mid', '--from', '9'];
const MOMENT = /▶ playing 63:[23]/;

const SHOTS: readonly Shot[] = [
  { name: 'play-80x24', size: [80, 24], args: DEMO, steps: [[MOMENT, '']] },
  { name: 'play-120x40', size: [120, 40], args: DEMO, steps: [[MOMENT, '']] },
  { name: 'play-120x40-light', size: [120, 40], args: DEMO, steps: [[MOMENT, '']], light: true },
  { name: 'play-40x12', size: [40, 12], args: DEMO, steps: [[/63/, '']] },
  { name: 'lane-80x24', size: [80, 24], args: DEMO, steps: [[MOMENT, '4c\r', /── channel 4/]] },
  { name: 'stuck-80x24', size: [80, 24], args: TROUBLED, steps: [[/playing 12/, 'h', /── stuck/]] },
  { name: 'help-80x24', size: [80, 24], args: DEMO, steps: [[/playing/, '?', /── keys/]] },
  { name: 'songs-80x24', size: [80, 24], args: ['songs'], steps: [[/((fits|does not)[\s\S]*){4}/, '']] },
];

// Nobody's own settings are in the pictures.
process.env.WIREPIT_CONFIG = 'off';

const folder = `${ROOT}docs/screens`;
mkdirSync(folder, { recursive: true });
for (const { name, size, args, steps, light } of SHOTS) {
  const [columns, rows] = size;
  const run = runInPty(process.execPath, [WIREPIT, ...args, '--background', light ? 'light' : 'dark'], {
    columns,
    rows,
    directory: ROOT,
  });
  for (const [waitFor, keys, opens] of steps) {
    await run.untilText(waitFor);
    for (const key of keys) run.send(key);
    if (opens) await run.untilText(opens);
  }
  const text = `${run.text().trimEnd()}\n`;
  writeFileSync(`${folder}/${name}.txt`, text);
  writeFileSync(`${folder}/${name}.svg`, gridSvg(run.grid(), light ? LIGHT : DARK));
  if (name === 'play-80x24') putIntoReadme(text);
  await run.close();
  process.stdout.write(`${name}\n${text}\n`);
}

function putIntoReadme(screen: string): void {
  const path = `${ROOT}README.md`;
  const block = `<!-- screen:begin -->\n\n\`\`\`text\n${screen}\`\`\`\n\n<!-- screen:end -->`;
  const readme = readFileSync(path, 'utf8');
  writeFileSync(
    path,
    readme.replace(/<!-- screen:begin -->[\s\S]*<!-- screen:end -->/, () => block),
  );
}
