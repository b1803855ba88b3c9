// Plays our songs in a real terminal (a pty and an emulator), and writes what the screen shows to docs/screens/
// and into the README: `npm run screens`. What is shown is what a person would see, not a drawing of it.
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { runInPty } from '../test/support/pty-run.ts';
import { ROOT, WIREPIT } from '../test/support/run-wirepit.ts';

interface Shot {
  readonly name: string;
  readonly columns: number;
  readonly rows: number;
  readonly args: readonly string[];
  /** Wait for this text, then press these keys. */
  readonly steps: readonly (readonly [waitFor: RegExp, keys: string])[];
}

const DEMO = 'songs/lamplight-parade.mid';
const SHOTS: readonly Shot[] = [
  { name: 'play-80x24', columns: 80, rows: 24, args: [DEMO, '--from', '33'], steps: [[/ 35:1/, ' ']] },
  { name: 'play-120x40', columns: 120, rows: 40, args: [DEMO, '--from', '33'], steps: [[/ 35:1/, ' ']] },
  { name: 'play-40x12', columns: 40, rows: 12, args: [DEMO, '--from', '33'], steps: [[/ 35:1/, ' ']] },
  { name: 'help-80x24', columns: 80, rows: 24, args: [DEMO], steps: [[/playing/, '?']] },
  {
    name: 'songs-80x24',
    columns: 80,
    rows: 24,
    args: ['songs'],
    steps: [[/(fits|late)[\s\S]*(fits|late)[\s\S]*(fits|late)/, '']],
  },
];

mkdirSync(`${ROOT}docs/screens`, { recursive: true });
for (const shot of SHOTS) {
  const run = runInPty(process.execPath, [WIREPIT, ...shot.args], {
    columns: shot.columns,
    rows: shot.rows,
    directory: ROOT,
  });
  for (const [waitFor, keys] of shot.steps) {
    await run.untilText(waitFor);
    if (keys !== '') run.send(keys);
  }
  await run.untilQuiet(600);
  const text = `${run.text().trimEnd()}\n`;
  writeFileSync(`${ROOT}docs/screens/${shot.name}.txt`, text);
  run.send('\x1b');
  run.send('q');
  await run.close();
  if (shot.name === 'play-80x24') putIntoReadme(text);
  process.stdout.write(`${shot.name}\n${text}\n`);
}

function putIntoReadme(screen: string): void {
  const path = `${ROOT}README.md`;
  const readme = readFileSync(path, 'utf8');
  const block = `<!-- screen:begin -->\n\n\`\`\`text\n${screen}\`\`\`\n\n<!-- screen:end -->`;
  writeFileSync(
    path,
    readme.replace(/<!-- screen:begin -->[\s\S]*<!-- screen:end -->/, () => block),
  );
}
