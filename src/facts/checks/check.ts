import type { Now, Season } from '../../season/model.ts';
import type { Fault } from '../../text/fault.ts';

/** What every check looks at. */
export type Checked = { readonly season: Season; readonly now: Now };

/** One rule: pure, and returns every breach of it. */
export type Check = (checked: Checked) => readonly Fault[];
