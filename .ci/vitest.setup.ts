// `npm test` draws the same cases each time, so that what passed for one commit passes again and a
// failure belongs to the change. New cases are sought by `npm run properties`, which leaves
// fast-check to draw its own seed; it prints that seed with the counterexample.
import { configureGlobal } from 'fast-check';

/** Any number will do: only that it stays the same matters. */
const SEED = 20270201;
const wanted = process.env.PROPERTY_SEED ?? String(SEED);

if (wanted !== 'random') {
  if (!/^-?\d+$/.test(wanted))
    throw new Error(`PROPERTY_SEED must be a whole number or "random", found "${wanted}"`);
  configureGlobal({ seed: Number(wanted) });
}
