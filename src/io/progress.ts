import { writeSync } from 'node:fs';

/** What is being done and how far, for whoever waits at a terminal. */
export type Progress = {
  /** So much of so much is done; without an end where it is not known. */
  readonly tell: (done: number | string, of?: number) => void;
  /** It is over: the line goes away. */
  readonly end: () => void;
};

export type Progresses = (what: string) => Progress;

const STDERR = 2;
/** Nothing is said of what takes less than this, and no line is written more often than that, ms. */
const FIRST = 1000;
const NEXT = 200;

/** Says nothing: in a pipe, a file, a test. */
export const silent: Progresses = () => ({ tell: () => undefined, end: () => undefined });

/** One line on standard error, written over and over, and wiped at the end. */
export const onTerminal: Progresses = (what) => {
  const begun = performance.now();
  let last = begun;
  let width = 0;
  const write = (text: string): void => {
    try {
      writeSync(STDERR, `\r${text.padEnd(width)}`);
      width = text.length;
    } catch {
      // Progress that cannot be told is no reason to stop.
    }
  };
  return {
    tell(done, of) {
      const now = performance.now();
      if (now - begun < FIRST || now - last < NEXT) return;
      last = now;
      write(of === undefined ? `${what}: ${done}` : `${what}: ${done} of ${of}`);
    },
    end() {
      if (width === 0) return;
      write('');
      writeSync(STDERR, '\r');
    },
  };
};
