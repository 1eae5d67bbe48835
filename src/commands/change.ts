import { flockOf, type Group } from '../facts/birds/groups.ts';
import { withdrawalsOf } from '../facts/birds/withdrawal.ts';
import { storedEggs } from '../facts/egg-store.ts';
import { hensInLay, isPosted } from '../facts/laying.ts';
import { looksOf } from '../facts/looks.ts';
import { postedHatch } from '../facts/stages.ts';
import type { Task } from '../facts/tasks/task.ts';
import { tasksOf } from '../facts/tasks/tasks.ts';
import { meaningOf } from '../judge/answers.ts';
import { kindOf, type RecordName } from '../records/index.ts';
import type { Row } from '../records/record.ts';
import { type CautionKey, cautionLines, cautionsAfter } from '../season/cautions.ts';
import { deathsAt, deathWords } from '../season/embryo.ts';
import type { EggSet, Now, Season, Share } from '../season/model.ts';
import { hanging, wrapped } from '../tables/wrap.ts';
import { printOn } from '../text/day.ts';
import { linesForTerminal } from '../text/escape.ts';
import { addAll, largest } from '../text/lists.ts';
import { counted } from './say.ts';
import type { Written, WrittenRow } from './write-rows.ts';

const WHOLE_SEASON = 400;

/** What a new row changed, in one or two lines: eggs left, fertility so far, what is next due. */
export function changeText(written: Written, width: number): string {
  const { season, now, rows } = written;
  const said = rows.length > 1 ? [`${rows.length} rows written`] : [];
  const next = new Map<string, Task>();
  const cautions: CautionKey[] = [];
  for (const { record, row } of rows) {
    const name = row.values.set;
    const set = typeof name === 'string' ? season.sets.get(name) : undefined;
    addAll(said, stateLines(record, row, season, now, set));
    const group = groupOf(row, season);
    const task = group
      ? nextDue(season, now, (one) => one.id.startsWith(`${group.name}/`))
      : set
        ? nextDue(season, now, (one) => one.set === set.name)
        : null;
    if (task !== null) next.set(task.id, task);
    if (record === 'breakout' && set !== undefined)
      addAll(
        said,
        deathLines(
          rows.map((one) => one.row),
          set,
        ),
      );
    addAll(said, meaningOf(record, row, season, now));
    addAll(cautions, cautionsAfter(record, row.values));
  }
  addAll(said, cautionLines([...new Set(cautions)], season.values.place.timezone));
  const lines = [...new Set(said)].map((one) => wrapped(one, width));
  for (const task of next.values()) lines.push(hanging(`next: ${task.due}  `, task.title, width));
  const entries = rows.map(({ row }) => row.entry);
  const named =
    entries.length > MOST_ENTRIES
      ? `${entries[0]} to ${entries.at(-1)}, ${entries.length} in all`
      : entries.join(', ');
  lines.push(wrapped(`(entry ${named})`, width));
  return linesForTerminal(`${lines.join('\n')}\n`);
}

/** More entries than these are told by the first and last. */
const MOST_ENTRIES = 12;

/** Rows as they would stand in the logs, with what each column holds. */
export function rowsText(rows: readonly WrittenRow[]): string {
  const lines = rows.map(({ record, row }) => {
    const kind = kindOf(record);
    const cells = Object.entries(kind.columns).flatMap(([name, column]) => {
      const text = column.print(row.values[name]);
      return text === '' || text === '0' ? [] : [`${name} ${text}`];
    });
    const note = row.note === '' ? [] : [`note ${row.note}`];
    return `${record} of ${printOn(row.on)}: ${[...cells, ...note].join(', ')}\n`;
  });
  return linesForTerminal(lines.join(''));
}

function stateLines(
  record: RecordName,
  row: Row,
  season: Season,
  now: Now,
  set: EggSet | undefined,
): string[] {
  const shares =
    set?.shares.filter(
      (share) =>
        set.shares.length === 1 || row.values.pen === null || share.pen.name === row.values.pen,
    ) ?? [];
  if (record === 'pen-change') {
    const pen = season.pens.get(String(row.values.pen))!;
    const parted = pen.parted === null ? '' : `; parted on ${pen.parted}`;
    const laying = hensInLay(pen, now.day);
    const resting = laying === pen.hens ? '' : ` (${laying} in lay)`;
    return [
      `${pen.name}: ${counted(pen.hens, 'hen')}${resting}, ${counted(pen.males, 'male')} now${parted}`,
    ];
  }
  if (record === 'bird' && set !== undefined)
    return shares.map((share) => bandedText(share, season));
  if (record === 'acceptance') return [`${row.values.code} of ${row.values.about} is accepted`];
  if (record === 'eggs' || record === 'eggs-out') {
    const pen = String(row.values.pen);
    const stored = storedEggs(season, now.day).settable.filter((lot) => lot.pen === pen);
    const eggs = stored.reduce((sum, lot) => sum + lot.left, 0);
    const oldest = stored.reduce((most, lot) => Math.max(most, lot.age), 0);
    const store =
      eggs === 0
        ? 'none in store young enough to set'
        : `${counted(eggs, 'egg')} in store, the oldest ${counted(oldest, 'day')} old`;
    const done =
      record === 'eggs' ? `${row.values.kept} kept` : `${row.values.eggs} ${row.values.way}`;
    return [`${pen}: ${done} on ${row.on.day}; ${store}`];
  }
  const group = groupOf(row, season);
  if (group !== null && record !== 'treatment') return [groupText(group)];
  if (record === 'treatment') return withdrawalLines(row, season);
  if (set === undefined) return [`${record} written for ${row.on.day}`];
  if (record === 'set') {
    const eggs = set.shares.reduce((sum, share) => sum + share.eggs, 0);
    const posted = set.shares.filter((share) => isPosted(share.pen));
    return [
      `${set.name}: ${set.shares.map((share) => `${share.pen.name} ${share.eggs}`).join(', ')}; ${counted(eggs, 'egg')} in all, ${oldestText(set.shares)}`,
      ...posted.map(
        ({ pen }) =>
          `${pen.name}: eggs off the road: about ${Math.round(100 * postedHatch.value)} % of them hatch`,
      ),
    ];
  }
  return shares.map(shareText);
}

/** The group a row of birds is about, as far as the book can follow it. */
function groupOf(row: Row, season: Season): Group | null {
  const name = row.values.group ?? row.values.group_or_pen;
  return typeof name === 'string' ? (flockOf(season).groups.get(name) ?? null) : null;
}

/** A group in one line: its balance, where it is, its sexes. */
function groupText(group: Group): string {
  const places = [...group.standings.at(-1)!.places].map(([place, birds]) => `${place} ${birds}`);
  const where = places.length === 0 ? '' : `; ${places.join(', ')}`;
  const sexes =
    group.sexes === null || group.living === 0
      ? ''
      : `; ${counted(group.sexes.pullets, 'pullet')}, ${counted(group.sexes.cockerels, 'cockerel')}, ${group.sexes.unsure} unsure at the last count`;
  return `${group.name}: ${group.living} living = ${group.placed} placed - ${group.lost} lost - ${group.left} left${where}${sexes}`;
}

function withdrawalLines(row: Row, season: Season): string[] {
  const { group_or_pen, what, batch, result } = row.values;
  const clear = withdrawalsOf(season)
    .filter((one) => one.entry === row.entry)
    .map((one) => `${one.what} clear from ${one.clear}`);
  const done = [what, batch === '' ? '' : `batch ${batch}`, result].filter(Boolean).join(', ');
  const days = what === 'test' ? '' : clear.join(', ') || 'no withdrawal days written';
  return [`${group_or_pen}: ${[done, days].filter((part) => part !== '').join('; ')}`];
}

/** For each age at which eggs of the breakout died: the days it means, and what usually does it. */
function deathLines(rows: readonly Row[], set: EggSet): string[] {
  const species = set.shares[0]!.pen.line.species;
  return deathsAt(species.hatch_day.value)
    .filter(({ stage }) => rows.some((row) => Number(row.values[stage] ?? 0) > 0))
    .map((death) => `${deathWords(death)}.`);
}

function oldestText(shares: readonly Share[]): string {
  const ages = shares.flatMap((share) => share.drawn.map((one) => one.age));
  return ages.length === 0 ? 'age not known' : `the oldest ${counted(largest(ages), 'day')} old`;
}

function missing(eggs: number): string {
  return eggs > 0 ? `${eggs} not accounted for` : `${-eggs} too many taken out`;
}

/** How many chicks of a share are entered as birds of their own. */
function bandedText(share: Share, season: Season): string {
  const own = season.rows.bird.filter(
    ({ values }) =>
      values.set === share.set && (values.pen === null || values.pen === share.pen.name),
  );
  const birds = new Set(own.map((row) => row.values.bird)).size;
  return `${share.set} ${share.pen.name}: ${counted(birds, 'bird')} entered of ${counted(share.tally.hatched ?? 0, 'chick')} hatched`;
}

/** A share in one line: eggs left, apparent fertility, chicks. */
export function shareText(share: Share): string {
  const { tally } = share;
  const name = `${share.set} ${share.pen.name}`;
  if (share.openings.length > 0) {
    const left =
      share.stage === 'finished'
        ? ''
        : `, ${share.live} still ${share.hatcher === null && share.underHen ? 'under the hen' : 'in the hatcher'}`;
    const lost = tally.missingAtHatch ? `, ${missing(tally.missingAtHatch)}` : '';
    return `${name}: ${counted(tally.hatched ?? 0, 'chick')} of ${counted(share.eggs, 'egg')} set${left}${lost}`;
  }
  const looks = looksOf(share);
  const fertility = looks
    ? `; apparent fertility so far ${Math.round((100 * looks.apparent) / looks.eggs)} % (${looks.apparent} of ${looks.eggs})`
    : '';
  const doubtful =
    tally.doubtful > 0 && share.stage === 'in-setter' ? `, ${tally.doubtful} of them doubtful` : '';
  const lost = tally.missingAtTransfer ? `; ${missing(tally.missingAtTransfer)}` : '';
  const where = share.stage === 'in-hatcher' ? `in ${share.hatcher ?? 'the hatcher'}` : 'left';
  return `${name}: ${share.live} of ${counted(share.eggs, 'egg')} ${where}${doubtful}${fertility}${lost}`;
}

function nextDue(season: Season, now: Now, isOf: (task: Task) => boolean): Task | null {
  const [task] = tasksOf(season, now, WHOLE_SEASON)
    .filter((one) => !one.daily && isOf(one))
    .sort((a, b) => (a.due < b.due ? -1 : a.due > b.due ? 1 : 0));
  return task ?? null;
}
