/**
 * `npm run mutants -- [--only <path>]… [--count N] [--seed S] [--minutes M]
 * [--budget SECONDS] [--line L]… [--tests <path>]…`: changes one operator, condition, number or statement of
 * the source at a time, in memory, and says which changes no test notices. Without `--only` it samples src/core,
 * src/engine and src/ports alike. A mutant is asked the test cases that come to its place; `--budget`: what they may
 * take of a processor. `--tests`: only these are asked.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { seeded } from '../support/seeded.ts';
import { equivalents } from './equivalents.ts';
import { DOES_NOT_BUILD, MutantRunner } from './mutant-runner.ts';
import { type Mutation, mutationsOf } from './mutations-of.ts';
import { RelatedTests } from './related-tests.ts';
import { SoundTests } from './sound-tests.ts';
import { withProbes } from './with-probes.ts';

const { values } = parseArgs({
  options: {
    only: { type: 'string', multiple: true },
    count: { type: 'string', default: '100' },
    seed: { type: 'string', default: '1' },
    minutes: { type: 'string', default: '10' },
    budget: { type: 'string', default: '4' },
    line: { type: 'string', multiple: true },
    tests: { type: 'string', multiple: true },
    verbose: { type: 'boolean', default: false },
  },
});

interface Mutant extends Mutation {
  readonly file: string;
}

const root = resolve(import.meta.dirname, '../..');
const related = new RelatedTests(root, values.tests);
const end = performance.now() + Number(values.minutes) * 60_000;
const listed = equivalents();
const isListed = ({ file, words }: Mutant) => listed.some((one) => one.file === file && one.words === words);

const unreached: string[] = [];
const all = sourceFiles(values.only ?? ['src/core', 'src/engine', 'src/ports']).flatMap((file): Mutant[] => {
  const tests = related.of(file);
  if (tests.length === 0) {
    unreached.push(file);
    return [];
  }
  const source = readFileSync(join(root, file), 'utf8');
  return mutationsOf(source, file.endsWith('x')).map((mutation) => ({ ...mutation, file }));
});
const open = all.filter((mutant) => !isListed(mutant));
const asked = open.filter(({ line }) => values.line?.includes(String(line)) ?? true);
const chosen = sample(asked, Number(values.count), Number(values.seed)).sort(
  (a, b) => a.file.localeCompare(b.file) || a.start - b.start,
);
process.stdout.write(
  `${all.length} mutants, ${all.length - open.length} listed as equivalent, ${chosen.length} chosen (seed ${values.seed})\n`,
);
if (unreached.length > 0)
  process.stdout.write(`not measured, no test in this process reaches: ${unreached.join(', ')}\n`);

const runner = new MutantRunner(root);
const sound = new SoundTests(runner, related, 1000 * Number(values.budget), probed(), (line) =>
  process.stderr.write(`${line}\n`),
);
const tally = new Map<string, { killed: number; late: number; survived: number; unreached: number }>();
let current = '';
let hasTests = false;
let unmeasured = 0;
let done = 0;
for (const [number, mutant] of chosen.entries()) {
  if (performance.now() > end) {
    process.stdout.write(`time is up: ${done} of ${chosen.length} tried\n`);
    break;
  }
  if (mutant.file !== current) hasTests = (await sound.take(mutant.file)) > 0;
  current = mutant.file;
  if (!hasTests) {
    unmeasured += 1;
    continue;
  }
  const text = readFileSync(join(root, mutant.file), 'utf8');
  const source = text.slice(0, mutant.start) + mutant.text + text.slice(mutant.end);
  const began = performance.now();
  const { failed, askedCases, unaskedCases } = await sound.run({ file: mutant.file, source, number });
  if (failed === DOES_NOT_BUILD) continue; // no mutant: the compiler would not have it
  const survived = failed === undefined;
  const place = tally.get(room(mutant.file)) ?? { killed: 0, late: 0, survived: 0, unreached: 0 };
  tally.set(room(mutant.file), place);
  place[survived ? 'survived' : 'killed'] += 1;
  if (failed?.startsWith('time:')) place.late += 1;
  if (survived) {
    const unasked = unaskedCases > 0 ? ` and ${unaskedCases} that do not fit` : '';
    const by = askedCases === 0 ? 'no case reaches it' : `${askedCases} cases${unasked}`;
    if (askedCases === 0) place.unreached += 1;
    process.stdout.write(`SURVIVED ${mutant.file}:${mutant.line}  ${mutant.words}  (${by})\n`);
  }
  done += 1;
  if (values.verbose)
    process.stderr.write(
      `${Math.round(performance.now() - began)} ms ${failed ?? 'SURVIVED'} ${mutant.file}:${mutant.line}\n`,
    );
}
await runner.close();
if (unmeasured > 0)
  process.stdout.write(`${unmeasured} mutants not measured: their tests need vitest whole\n`);
for (const [name, { killed, late, survived, unreached }] of tally) {
  const share = ((100 * killed) / (killed + survived)).toFixed(1);
  process.stdout.write(
    `${name}: ${killed} of ${killed + survived} killed (${share} %), ${late} of them by time; ${unreached} that no case reaches\n`,
  );
}
process.exit(0);

/** [file] its source with the number of each chosen mutant where it is. */
function probed(): ReadonlyMap<string, string> {
  const probes = chosen.map(({ file, site }, number) => ({ file, site, number }));
  return new Map(
    [...new Set(chosen.map(({ file }) => file))].map((file) => [
      file,
      withProbes(
        readFileSync(join(root, file), 'utf8'),
        probes.filter((probe) => probe.file === file),
      ),
    ]),
  );
}

function room(file: string): string {
  return file.split('/').slice(0, 3).join('/');
}

function sourceFiles(wanted: readonly string[]): string[] {
  return readdirSync(join(root, 'src'), { recursive: true, encoding: 'utf8' })
    .map((name) => `src/${name}`)
    .filter((name) => /\.tsx?$/.test(name) && !name.endsWith('.d.ts'))
    .filter((name) => wanted.some((one) => name === one || name.startsWith(`${one.replace(/\/$/, '')}/`)))
    .sort();
}

/** `count` of them, as the seed wills. */
function sample(from: readonly Mutant[], count: number, seed: number): Mutant[] {
  const chance = seeded(seed);
  const rest = [...from];
  for (let i = rest.length - 1; i > 0; i -= 1) {
    const j = Math.floor(chance() * (i + 1));
    [rest[i], rest[j]] = [rest[j]!, rest[i]!];
  }
  return rest.slice(0, count);
}
