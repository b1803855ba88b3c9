import type { Command } from 'commander';
import { bareProgram, finishProgram } from './bare-program.ts';
import { registerCheck } from './check/check.ts';
import { registerCompare } from './compare/compare.ts';
import { registerConfig } from './config/config.ts';
import { registerFit } from './fit/fit.ts';
import { registerInstrument } from './instrument/instrument.ts';
import { registerListen } from './listen/listen.ts';
import { registerLoop } from './loop/loop.ts';
import { registerPlay } from './play/play.ts';
import { registerPorts } from './ports/ports.ts';
import { registerPrepare } from './prepare/prepare.ts';
import { registerShell } from './shell/shell.ts';
import { registerShow } from './show/show.ts';
import { registerWatch } from './watch/watch.ts';

/** The whole command line. `play` is what a bare song or folder means. */
export function wirepitProgram(): Command {
  const program = bareProgram();
  registerPlay(program);
  registerCheck(program);
  registerListen(program);
  registerCompare(program);
  registerLoop(program);
  registerShow(program);
  registerWatch(program);
  registerFit(program);
  registerInstrument(program);
  registerPrepare(program);
  registerPorts(program);
  registerConfig(program);
  registerShell(program);
  return finishProgram(program);
}
