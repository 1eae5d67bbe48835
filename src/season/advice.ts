/** The advice of `seeds/advice.yaml` and the works of `seeds/sources.yaml`, for the guide. */
import type * as z from 'zod/mini';
import adviceTable from '../../seeds/advice.yaml';
import sourceTable from '../../seeds/sources.yaml';
import type { adviceFile, sourcesFile } from './knowledge-schema.ts';

export const advice = adviceTable as z.infer<typeof adviceFile>;
const sources = sourceTable as z.infer<typeof sourcesFile>;

/** Every work that a figure cites, in the order of the table. */
export const works = sources.works;
/** Works that say otherwise than the program, on purpose. */
export const worksAgainst = sources.against;
