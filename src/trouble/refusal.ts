/** Something the user can act on. The command line prints it as one line and exits with 2. */
export class Refusal extends Error {
  override readonly name = 'Refusal';

  /**
   * @param what what is wrong, as a plain sentence without a full stop
   * @param where the file, offset, bar, port or option it is about
   * @param nextStep what to do about it, as a plain sentence without a full stop
   */
  constructor(
    readonly what: string,
    readonly where: string,
    readonly nextStep: string,
  ) {
    super(`${where === '' ? "''" : where}: ${bare(what)}; ${bare(nextStep)}`);
  }
}

function bare(sentence: string): string {
  return sentence.trim().replace(/\.$/, '');
}
