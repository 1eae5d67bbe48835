import { judged } from '../facts/checks/index.ts';
import { futureFault } from '../facts/checks/order.ts';
import { type FolderRead, SEASON_FILE } from '../io/season-folder.ts';
import { expectedIn } from '../judge/rates/expected-chicks.ts';
import { farmRates } from '../judge/rates/rates.ts';
import { type Fault, faultCodes, inOrder, quoted } from '../text/fault.ts';
import { addAll } from '../text/lists.ts';
import { type CommandModule, exitCodes, wrongWords } from './command.ts';
import { earlierSeasons } from './earlier-seasons.ts';
import { laterText, nowIn, readAtMoment } from './open.ts';
import { counted, faultLines, jsonText } from './say.ts';
import { keepSchema } from './season-schema.ts';

export const command: CommandModule = {
  words: async () => ({
    accept: Object.entries(faultCodes).flatMap(([code, kind]) =>
      kind === 'conflict' ? [code] : [],
    ),
  }),
  examples: [
    'check',
    'check --json',
    'check --accept too-few-males south --why "a spare comes in March"',
  ],
  define(command) {
    command
      .argument('[about...]', 'with --accept: what the conflict is about, as its sentence begins')
      .option('--accept <code>', 'settle a conflict you know of: its code, then what it is about')
      .option('--why <text>', 'with --accept: why it is so')
      .option('--by <name>', 'who says so; else TRAYBOOK_BY or the user');
  },
  async run(context, [about], options) {
    const words = ((about ?? []) as unknown as string[]).join(' ');
    if (options.accept !== undefined)
      return (await import('./accept.ts')).accept(context, words, options);
    if (words !== '')
      throw wrongWords(
        `${quoted(words)}: a word that check does not take`,
        'to settle a conflict: check --accept CODE ABOUT --why TEXT',
      );
    const read = await readAtMoment(context);
    await keepSchema(read.folder, read.sources.get(SEASON_FILE)?.text ?? '');
    let notes = '';
    const problems: Fault[] = [...read.faults];
    let accepted = 0;
    if (read.season !== null) {
      const { folder, season } = read;
      const now = nowIn(season.zone, context);
      const before = await earlierSeasons(folder, season);
      const rates = () => farmRates(season, before.seasons, now.day);
      const found = judged(season, now, expectedIn(season, now, rates));
      addAll(problems, found.open);
      accepted = found.accepted.length;
      // By the clock a row of a day to come is a slip; at a moment of the past it is not.
      if (context.nowOption === undefined)
        addAll(
          problems,
          read.later.flatMap((row) => futureFault(row, now)),
        );
      else notes = laterText(read, now);
    }
    const ordered = inOrder(problems);
    const exit = ordered.some((one) => faultCodes[one.code] === 'unreadable')
      ? exitCodes.unreadable
      : ordered.some((one) => faultCodes[one.code] !== 'notice')
        ? exitCodes.found
        : exitCodes.done;
    if (context.json) {
      const shown = ordered.map(({ at, ...one }) => ({
        ...one,
        file: at.file,
        line: at.line,
        column: at.column,
      }));
      return { stdout: jsonText('check', { problems: shown }), stderr: notes, exit };
    }
    const settled = accepted === 0 ? '' : `${accepted} accepted: traybook list acceptance\n`;
    if (ordered.length === 0)
      return { stdout: `nothing wrong: ${whatWasRead(read)}\n${settled}`, stderr: notes, exit };
    const errors = ordered.filter((one) => one.severity === 'error').length;
    const warnings = ordered.length - errors;
    const sum = [
      errors > 0 && counted(errors, 'error'),
      warnings > 0 && counted(warnings, 'warning'),
    ]
      .filter(Boolean)
      .join(', ');
    const limits =
      read.season === null ? '; conflicts are looked for once the files can be read' : '';
    const text = `${faultLines(ordered)}${sum}${limits}\n${settled}`;
    // What cannot be read is no result: it goes where messages go.
    return exit === exitCodes.unreadable
      ? { stderr: text, exit }
      : { stdout: text, stderr: notes, exit };
  },
};

function whatWasRead(read: FolderRead): string {
  const rows = Object.values(read.season?.rows ?? {}).reduce((sum, all) => sum + all.length, 0);
  return `season.yaml and ${counted(rows, 'row')} in log/`;
}
