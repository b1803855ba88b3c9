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
  /** Wait for this text, then press these keys. */
  readonly steps: readonly (readonly [waitFor: RegExp, keys: string])[];
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
  { name: 'lane-80x24', size: [80, 24], args: DEMO, steps: [[MOMENT, '4c\r']] },
  { name: 'stuck-80x24', size: [80, 24], args: TROUBLED, steps: [[/playing 12/, 'h']] },
  { name: 'help-80x24', size: [80, 24], args: DEMO, steps: [[/playing/, '?']] },
  { name: 'songs-80x24', size: [80, 24], args: ['songs'], steps: [[/((fits|does not)[\s\S]*){4}/, '']] },
];

const folder = `${ROOT}docs/screens`;
mkdirSync(folder, { recursive: true });
for (const { name, size, args, steps, light } of SHOTS) {
  const [columns, rows] = size;
  const run = runInPty(process.execPath, [WIREPIT, ...args, '--background', light ? 'light' : 'dark'], {
    columns,
    rows,
    directory: ROOT,
  });
  for (const [waitFor, keys] of steps) {
    await run.untilText(waitFor);
    for (const key of keys) run.send(key);
  }
  // What a key opens is drawn within a moment; without a key the moment itself is what is wanted.
  if (steps.at(-1)?.[1] !== '') await run.untilQuiet(500, 3000).catch(() => {});
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
