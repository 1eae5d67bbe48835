import * as z from 'zod';

/** What a vector file gives to a calculation; each adapter checks its own shape. */
export type Adapter = (inputs: unknown) => unknown;

/** An adapter that validates its inputs first, so that a vector with a wrong shape says so. */
export function adapter<S extends z.ZodType>(
  shape: S,
  run: (inputs: z.infer<S>) => unknown,
): Adapter {
  return (inputs) => run(shape.parse(inputs));
}

export const numbers = z.array(z.number());
export const confidence = z.number().gt(0).lt(1).default(0.95);
