import * as z from 'zod';
import * as birds from './birds.ts';
import * as counts from './counts.ts';
import * as days from './days.ts';
import * as plans from './plans.ts';
import * as records from './records.ts';

/**
 * JSON Schema (draft 2020-12) of every document `--json` prints, by the name in its `format`. The
 * build writes them to `dist/schemas/`; the program itself does not load them.
 */
export function jsonSchemas(): Map<string, object> {
  const shapes = [birds, counts, days, plans, records].flatMap((one) => Object.values(one));
  return new Map(
    shapes.map((shape) => {
      const [format] = [...shape.shape.format.values];
      const name = /^traybook\.(.*)\/1$/.exec(format!)![1]!;
      return [name, { title: format, ...z.toJSONSchema(shape) }];
    }),
  );
}
