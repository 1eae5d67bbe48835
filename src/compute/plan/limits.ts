/** What binds a plan that falls short, and the least change that would free it. */

/** One thing that would free a plan: each figure comes from a solve. */
export interface Limit {
  /** What binds: eggs, trays, hatcher, brooder, time, storage, days off. */
  limit: string;
  /** The least change, `hens+3 south`. */
  change: string;
  /** The chance of the goals that fell short, at the least of them, less what it is now. */
  gain: number | null;
  /** The same as a sentence. */
  words: string;
}
