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

/**
 * One line, written over and over and wiped at the end; `clock` is in ms. A line longer than the
 * terminal would stay where it wraps, so it is cut.
 */
export function progressOn(
  write: (text: string) => void,
  clock: () => number,
  columns = 80,
): Progresses {
  return (what) => {
    const begun = clock();
    let last = begun;
    let width = 0;
    const line = (whole: string): void => {
      const text = whole.slice(0, columns - 1);
      write(`\r${text.padEnd(width)}`);
      width = text.length;
    };
    return {
      tell(done, of) {
        const now = clock();
        if (now - begun < FIRST || now - last < NEXT) return;
        last = now;
        line(of === undefined ? `${what}: ${done}` : `${what}: ${done} of ${of}`);
      },
      end() {
        if (width === 0) return;
        line('');
        write('\r');
      },
    };
  };
}

/** On standard error where that is a terminal; it is asked only when there is something to tell. */
export const onTerminal: Progresses = (what) =>
  (process.stderr.isTTY
    ? progressOn(toStderr, () => performance.now(), process.stderr.columns)
    : silent)(what);

function toStderr(text: string): void {
  try {
    writeSync(STDERR, text);
  } catch {
    // Progress that cannot be told is no reason to stop.
  }
}
