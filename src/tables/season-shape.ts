/**
 * The bare JSON Schema of `season.yaml`, as the library makes it of the one schema. The build puts the
 * value in the place of this module: the code that makes it would else be loaded with the schema by
 * every command.
 */
import * as z from 'zod/mini';
import { seasonSchema } from '../season/schema.ts';

export default z.toJSONSchema(seasonSchema, { io: 'input' });
