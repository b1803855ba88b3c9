import type { FindingKind, Severity } from '../smf/finding.ts';
import { SONG_FINDINGS } from '../smf/song-findings.ts';
import { TIMELINE_FINDINGS } from '../timeline/timeline-finding.ts';
import { PROBLEM_GUIDE, SONG_GUIDE, TIMELINE_GUIDE } from './finding-guide.ts';
import type { Guide } from './guide.ts';
import { INSTRUMENT_FINDINGS, type InstrumentFindingCode, isHint } from './instrument-finding.ts';

const SEVERITIES: Readonly<Record<Severity, string>> = {
  note: 'changes nothing one hears',
  warning: 'may change what one hears',
  problem: 'does change it: something is lost, wrong or hangs',
};

/** docs/findings.md, printed from the tables that the reader, the timeline and the check use; a test holds the file to it. */
export function findingDocument(): string {
  const codes = Object.keys(INSTRUMENT_FINDINGS) as InstrumentFindingCode[];
  const hints = codes.filter(isHint).map((code) => `\`${code}\``);
  const lines = [
    '# What `wirepit check` finds',
    '',
    'Printed from the tables of the program (`src/core/smf/song-findings.ts`, `timeline/timeline-finding.ts`,',
    '`report/finding-guide.ts`). A code stands in `findings[].code` or `problems[].code` of',
    '[check --json](check-json.md) and in the last line of a finding that comes often. Work goes on whatever is',
    'found: a song is played as far as it makes sense.',
    '',
    '| severity | meaning |',
    '| --- | --- |',
    ...Object.entries(SEVERITIES).map(([severity, meaning]) => `| \`${severity}\` | ${meaning} |`),
    '',
    '## Why a song does not fit as it is',
    '',
    '| problem | what it means | what to do |',
    '| --- | --- | --- |',
    ...Object.entries(PROBLEM_GUIDE).map(([code, { means, toDo }]) => `| \`${code}\` | ${means} | ${toDo} |`),
  ];
  lines.push(
    '',
    '## Against the instrument',
    '',
    'With `--instrument` ([instruments](instruments.md)) each of these is a problem too, under the same code. Without it',
    'General MIDI is assumed, and they are listed in `instrument.findings[]` only. A hint stands only there in any case:',
    `${hints.join(', ')}.`,
    '',
    '| code | counts | what is printed | what it means | what to do |',
    '| --- | --- | --- | --- | --- |',
    ...Object.entries(INSTRUMENT_FINDINGS).map(
      ([code, { counts, says, means, toDo }]) =>
        `| \`${code}\` | ${counts} | ${says} … | ${means} | ${toDo} |`,
    ),
  );
  lines.push('', "## In the file's structure", '', ...tableOf(SONG_FINDINGS, SONG_GUIDE));
  lines.push('', '## In tempo, notes and pedals', '', ...tableOf(TIMELINE_FINDINGS, TIMELINE_GUIDE));
  return `${lines.join('\n')}\n`;
}

function tableOf<Code extends string>(
  kinds: Readonly<Record<Code, FindingKind>>,
  guides: Readonly<Record<Code, Guide>>,
): string[] {
  const rows = (Object.keys(kinds) as Code[]).map((code) => {
    const { severity, sentence } = kinds[code];
    const { means, toDo } = guides[code];
    return `| \`${code}\` | ${severity} | ${shown(sentence)} | ${means} | ${toDo} |`;
  });
  return [
    '| code | severity | what is printed | what it means | what to do |',
    '| --- | --- | --- | --- | --- |',
    ...rows,
  ];
}

/** `{count bytes}` → `… bytes`: the places of the values. */
function shown(sentence: string): string {
  return sentence.replace(/\{\w+( \w+)?\}/g, (_, noun: string | undefined) => `…${noun ?? ''}`);
}
