/**
 * Reading descriptions of instruments: 500 name documents, made up with what was met in real ones (some 220 patches
 * each), and that each of their patches becomes a program or an explanation; 74 of them extend another one of the same
 * folder, as of 507 real ones, and are read from there with it. The goal is processor time, garbage
 * collection included, so that other work on the machine does not count; the time on the clock stands beside it.
 */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseNameDocument, readNameDocument } from '../../src/profile/read-name-document.ts';
import { madeDocument } from '../support/name-documents.ts';
import { recordBench } from './bench-record.ts';
import { printGoals } from './goal-line.ts';

const DOCUMENTS = 500;
const EXTENDING = 74;
const RUNS = 3;

export async function run(): Promise<void> {
  const made = Array.from({ length: DOCUMENTS }, (_, seed) => {
    const { text, patches, programs, kits } = madeDocument(seed, 128);
    return { text, patches, usable: programs.length + kits.length };
  });
  const patches = made.reduce((sum, one) => sum + one.patches, 0);
  const folder = mkdtempSync(join(tmpdir(), 'wirepit-names-'));
  const extending = writeFolder(folder, made);
  const runs = Array.from({ length: RUNS }, () => readAll(made, extending));
  rmSync(folder, { recursive: true });
  const best = runs.reduce((least, one) => (one.processorSeconds < least.processorSeconds ? one : least));
  const megabytes = made.reduce((sum, { text }) => sum + text.length, 0) / 1e6;
  process.stdout.write(
    `${DOCUMENTS} documents, ${megabytes.toFixed(1)} MB, ${patches} patches; ${RUNS} runs, processor ${runs
      .map(({ processorSeconds }) => processorSeconds.toFixed(2))
      .join(', ')} s, clock ${runs.map(({ clockSeconds }) => clockSeconds.toFixed(2)).join(', ')} s\n`,
  );
  const verdicts = printGoals([
    { name: '500 name documents', value: best.processorSeconds, unit: 's', atMost: 1 },
    {
      name: 'patches a program or explained',
      value: (best.accounted / patches) * 100,
      unit: '%',
      atLeast: 100,
    },
    { name: 'extensions read with what they extend', value: best.extended, atLeast: EXTENDING },
    { name: 'documents with every program', value: (best.whole / DOCUMENTS) * 100, unit: '%', atLeast: 100 },
  ]);
  recordBench('instrument', { documents: DOCUMENTS, patches, runs, verdicts });
}

/** All of them as files, the last of them only as extensions of the first. @returns the files of the extensions */
function writeFolder(folder: string, made: readonly { readonly text: string }[]): string[] {
  const files: string[] = [];
  for (const [at, { text }] of made.entries()) {
    const isWhole = at < DOCUMENTS - EXTENDING;

    if (isWhole)
      writeFileSync(
        join(folder, `box-${at}.midnam`),
        text.replaceAll('ExtendingDeviceNames', 'MasterDeviceNames'),
      );
    else {
      files.push(join(folder, `card-${at}.midnam`));
      const other = `<Model>Box ${at - (DOCUMENTS - EXTENDING)}</Model>`;
      const card = text.replaceAll('MasterDeviceNames', 'ExtendingDeviceNames');
      writeFileSync(files.at(-1)!, card.replace(/<Model>[^<]*<\/Model>/, other));
    }
  }
  return files;
}

function readAll(
  made: readonly { readonly text: string; readonly usable: number }[],
  extending: readonly string[],
) {
  const began = performance.now();
  const used = process.cpuUsage();
  let accounted = 0;
  let whole = 0;
  let extended = 0;
  for (const file of extending) {
    const { patches, remarks } = readNameDocument(file);
    if (patches.used + patches.explained === patches.all && remarks[0]?.startsWith('it extends') === true)
      extended += 1;
  }
  for (const [at, { text, usable }] of made.slice(0, DOCUMENTS).entries()) {
    const { patches } = parseNameDocument(text, `made-${at}.midnam`);
    accounted += patches.used + patches.explained;
    if (patches.used === usable) whole += 1;
  }
  const { user, system } = process.cpuUsage(used);
  return {
    processorSeconds: (user + system) / 1e6,
    clockSeconds: (performance.now() - began) / 1000,
    accounted,
    whole,
    extended,
  };
}
