import { hexText } from '../../core/midi/hex-text.ts';
import { type IdentityReply, identityReplyOf } from '../../core/midi/identity-reply.ts';
import { counted } from '../../core/report/figure-text.ts';
import { askIdentity } from '../../listen/ask-identity.ts';
import { Refusal } from '../../trouble/refusal.ts';
import type { FlagsOf } from '../options/flags-of.ts';
import { jsonText } from '../output/json-text.ts';
import { EXIT } from '../trouble.ts';
import { identityWords } from './identity-words.ts';

/** Version of what `instrument --ask --json` prints: docs/instruments.md. */
export const IDENTITY_SCHEMA = 'wirepit-identity/1';

/** Asks who is there, and says what answered. No answer is exit code 1: it may only be that the device knows no such request. */
export async function ask(flags: FlagsOf<'instrument'>): Promise<void> {
  const { from, seconds = WAIT_SECONDS } = flags;
  const [port, second] = flags.port;
  if (second !== undefined) throw new Refusal('one port is asked at a time', '--ask', 'give --port once');
  if (port === undefined || from === undefined) {
    const missing = port === undefined ? '--port' : '--from';
    throw new Refusal(
      `${missing} is missing`,
      '--ask',
      'give --port to ask through and --from to hear the answer',
    );
  }
  const { sysEx, bytes } = await askIdentity(
    port,
    from,
    seconds,
    (one) => identityReplyOf(one) !== undefined,
  );
  const answers = sysEx.flatMap((one) => {
    const reply = identityReplyOf(one);
    return reply === undefined ? [] : [{ ...reply, bytes: hexText(one) }];
  });
  if (answers.length === 0) process.exitCode = EXIT.problems;
  if (flags.json) {
    process.stdout.write(
      `${jsonText({ schema: IDENTITY_SCHEMA, port, from, answers, bytesHeard: bytes })}\n`,
    );
  } else {
    process.stdout.write(`${linesOf(answers, bytes, seconds).join('\n')}\n`);
  }
}

/** Long enough for any instrument that answers at all (common practice, no source). */
const WAIT_SECONDS = 2;

function linesOf(
  answers: readonly (IdentityReply & { readonly bytes: string })[],
  bytes: number,
  seconds: number,
): string[] {
  if (answers.length > 0) return answers.flatMap((one) => [identityWords(one), `  ${one.bytes}`]);
  const heard =
    bytes === 0
      ? 'nothing came at all: look whether its MIDI Out reaches this input'
      : `${counted(bytes, 'byte')} came, none of them an answer`;
  return [
    `no answer in ${seconds} s; ${heard}`,
    'Not every instrument knows this request, and some answer only once it is allowed on their panel.',
  ];
}
