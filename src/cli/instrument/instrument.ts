import type { Command } from 'commander';
import { cleanText } from '../../screen/format/text-cleaning.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { addOptions } from '../options/add-options.ts';
import type { FlagsOf } from '../options/flags-of.ts';
import { jsonText } from '../output/json-text.ts';

/** `wirepit instrument <name or file>`, and `wirepit instrument --ask`. */
export function registerInstrument(program: Command): void {
  const command = program
    .command('instrument')
    .description('print what is known of an instrument, to check against its manual; or ask who is there')
    .argument('[instrument]', 'a name or a file, as for --instrument: TOML or a MIDI name document')
    .addHelpText('after', '\nExit code: 0 all is well, 1 nothing answered, 2 a profile or port is refused.');
  addOptions(command, 'instrument').action((name: string | undefined, flags: FlagsOf<'instrument'>) =>
    instrument(name, flags),
  );
}

async function instrument(name: string | undefined, flags: FlagsOf<'instrument'>): Promise<void> {
  if ((flags.ask ?? false) === (name !== undefined)) {
    const what = name === undefined ? 'no instrument is named' : '--ask takes no instrument';
    throw new Refusal(what, 'instrument', 'name one to print it, or give --ask with --port and --from');
  }
  // Each way loads only what it needs: profiles want a schema, asking wants ports.
  if (name === undefined) {
    const { ask } = await import('./ask.ts');
    await ask(flags);
    return;
  }
  const { profileNamed } = await import('../../profile/profile-named.ts');
  const profile = profileNamed(name);
  if (flags.json) {
    const { instrumentDocument } = await import('./instrument-document.ts');
    process.stdout.write(`${jsonText(instrumentDocument(profile))}\n`);
    return;
  }
  const { instrumentPage } = await import('./instrument-page.ts');
  process.stdout.write(
    `${instrumentPage(profile)
      .map((line) => cleanText(line))
      .join('\n')}\n`,
  );
}
