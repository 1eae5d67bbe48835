/** Ctrl-C, where the answer so far is to be given before the end. */
export type Interruption = {
  /** Gives the signal a turn; true once it came. A second one ends the process as ever. */
  readonly isStopped: () => Promise<boolean>;
  readonly end: () => void;
};

/** Keeps the first Ctrl-C from ending the process, until `end`. */
export function watchInterrupt(): Interruption {
  let stopped = false;
  const stop = () => {
    stopped = true;
  };
  process.once('SIGINT', stop);
  return {
    isStopped: async () => {
      await new Promise((turn) => setImmediate(turn));
      return stopped;
    },
    end: () => process.removeListener('SIGINT', stop),
  };
}
