/** The work was stopped: what is found so far is all. */
export class Interrupted extends Error {
  override name = 'Interrupted';
}

/** The work of a plan, counted in programs solved: a budget gives the same answer on every machine. */
export class Effort {
  solves = 0;
  readonly #told: ((solves: number) => void) | undefined;
  readonly #isStopped: (() => Promise<boolean>) | undefined;

  /**
   * @param told now and then, for whoever waits
   * @param isStopped asked before each program, of whoever may stop the work
   */
  constructor(
    readonly most = Number.POSITIVE_INFINITY,
    told?: (solves: number) => void,
    isStopped?: () => Promise<boolean>,
  ) {
    this.#told = told;
    this.#isStopped = isStopped;
  }

  /** A budget of its own, for the same keeper. */
  within(most: number): Effort {
    return new Effort(most, this.#told, this.#isStopped);
  }

  /** A part of what is left of this budget, which pays for it too. */
  part(share: number): Effort {
    const left = Math.max(0, this.most - this.solves);
    return new Effort(Math.ceil(left * share), () => this.spend(), this.#isStopped);
  }

  get isSpent(): boolean {
    return this.solves >= this.most;
  }

  /** @throws Interrupted once the work was stopped */
  async turn(): Promise<void> {
    if (await this.#isStopped?.()) throw new Interrupted();
  }

  spend(): void {
    this.solves++;
    this.#told?.(this.solves);
  }
}
