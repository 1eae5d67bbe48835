import { judged } from '../facts/checks/index.ts';
import { expectedFound } from '../text/fault.ts';
import { didYouMean } from '../text/nearest.ts';
import { whoIs } from './add.ts';
import { changeText } from './change.ts';
import {
  type CommandOutcome,
  type Context,
  type Options,
  unexpected,
  wrongWords,
} from './command.ts';
import { jsonText } from './say.ts';
import { writeRows } from './write-rows.ts';

/**
 * Writes an acceptance of a conflict that is there.
 *
 * @throws Stop (exit 2) if there is none such, or no reason is given
 */
export async function accept(
  context: Context,
  about: string,
  options: Options,
): Promise<CommandOutcome> {
  const code = String(options.accept);
  const why = String(options.why ?? '').trim();
  if (about === '' || why === '')
    throw wrongWords(
      expectedFound('--accept', 'what it is about and --why TEXT', 'nothing'),
      'for example: traybook check --accept too-few-males south --why "a spare comes in March"',
    );
  const written = await writeRows(context, { doing: 'check --accept' }, ({ season }, now) => {
    const { open } = judged(season, now);
    const like = open.filter((one) => one.code === code);
    if (!like.some((one) => one.about === about))
      throw unexpected(
        '--accept',
        'an open conflict',
        `${code} ${about}`,
        like.length > 0
          ? `${code}: ${[...new Set(like.map((one) => one.about))].join('; ')}`
          : (didYouMean(code, new Set(open.map((one) => one.code))) ?? 'traybook check shows them'),
      );
    const by = (options.by as string | undefined) ?? whoIs(context);
    return [{ record: 'acceptance', cells: { on: now.day, code, about, why, by } }];
  });
  return {
    stdout: context.json
      ? jsonText('add', {
          record: 'acceptance',
          entries: written.rows.map(({ row }) => row.entry),
          set: null,
        })
      : changeText(written, context.width),
    stderr: written.notes,
  };
}
