export interface SuspensionHooks {
  /** Before the process stops: a stopped process plays nothing, so sounding notes must be ended here. */
  beforeStop(): void | Promise<void>;
  /** Gives the terminal back, at once. */
  leave(): void;
  /** The process runs on: take the terminal over again and draw everything. */
  comeBack(): void;
}

/**
 * Stopping by the shell's job control and running on: Ctrl-Z (which raw mode hands us as a key), SIGTSTP from
 * elsewhere, and the way back after SIGSTOP too.
 */
export class Suspension {
  #isStopping = false;
  #timer: NodeJS.Timeout | undefined;

  readonly #hooks: SuspensionHooks;

  constructor(hooks: SuspensionHooks) {
    this.#hooks = hooks;
  }

  install(): void {
    process.on('SIGTSTP', this.#told);
    process.on('SIGCONT', this.#continued);
  }

  uninstall(): void {
    clearTimeout(this.#timer);
    process.off('SIGTSTP', this.#told);
    process.off('SIGCONT', this.#continued);
  }

  /**
   * Stops the process, and with `wholeJob` its process group, as the terminal itself would (npm, a pipe). Settles
   * when the stop is under way.
   */
  async stop(wholeJob = true): Promise<void> {
    if (this.#isStopping) return;
    this.#isStopping = true;
    // A caller's failure or slowness must not keep the user from the shell.
    const before = Promise.resolve(this.#hooks.beforeStop()).catch(() => {});
    await Promise.race([before, this.#sleep(LONGEST_BEFORE_MILLIS)]);
    clearTimeout(this.#timer);
    this.#hooks.leave();
    process.off('SIGTSTP', this.#told);
    // No timer runs while the process is stopped. It also fires when the stop did not come about: a process
    // group that no shell controls is not stopped by SIGTSTP (POSIX, orphaned process groups).
    this.#timer = setTimeout(this.#continued, CHECK_MILLIS);
    process.kill(wholeJob ? 0 : process.pid, 'SIGTSTP');
  }

  #sleep(millis: number): Promise<void> {
    return new Promise((done) => {
      this.#timer = setTimeout(done, millis);
    });
  }

  readonly #told = (): void => {
    void this.stop(false);
  };

  readonly #continued = (): void => {
    clearTimeout(this.#timer);
    if (this.#isStopping) process.on('SIGTSTP', this.#told);
    else this.#hooks.leave();
    this.#isStopping = false;
    this.#hooks.comeBack();
  };
}

const LONGEST_BEFORE_MILLIS = 500;
const CHECK_MILLIS = 100;
