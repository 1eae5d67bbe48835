/** The work of a plan, counted in programs solved: a budget gives the same answer on every machine. */
export class Effort {
  solves = 0;
  /** Told now and then, for whoever waits. */
  readonly #told: ((solves: number) => void) | undefined;

  constructor(
    readonly most = Number.POSITIVE_INFINITY,
    told?: (solves: number) => void,
  ) {
    this.#told = told;
  }

  get isSpent(): boolean {
    return this.solves >= this.most;
  }

  spend(): void {
    this.solves++;
    this.#told?.(this.solves);
  }
}
