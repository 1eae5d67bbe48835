import {
  growthOf,
  hardening,
  holdingFigures,
  pointOfLayOf,
  shadeFigures,
} from '../../season/brooding.ts';
import type { Now, Season } from '../../season/model.ts';
import { plural } from '../../tables/numbers.ts';
import { addDays, type Day, daysBetween } from '../../text/day.ts';
import { addAll } from '../../text/lists.ts';
import { expectedExit, movingOutOf, nightsOf, staysOf } from '../birds/brooders.ts';
import { feedStage } from '../birds/feed.ts';
import { flockOf, type Group, kindOfLine } from '../birds/groups.ts';
import { chicksWithHens, waitingChicks } from '../birds/holding.ts';
import type { NightOn } from '../birds/nights.ts';
import { withdrawalsOf } from '../birds/withdrawal.ts';
import { ageOn, wholeDegrees } from '../heat.ts';
import { heatRound, heatTasks, warmTasks } from './heat-tasks.ts';
import { type Put, type TaskDraft, taskOf } from './task.ts';
import { work } from './work.ts';

/** What there is to do for birds once hatched: brood, heat, move out, feed, sex, table, lay. */
export function flockTasks(season: Season, now: Now): TaskDraft[] {
  const out: TaskDraft[] = [
    ...warmTasks(season, now),
    ...broodTasks(season, now),
    ...henTasks(season),
  ];
  const groups = [...flockOf(season).groups.values()].filter((group) => group.living > 0);
  if (groups.length > 0) {
    const nightOn = nightsOf(season);
    const stays = staysOf(season, groups, now, nightOn);
    addAll(out, heatTasks(season, stays, now));
    for (const group of groups)
      addAll(out, [
        ...leavingTasks(season, group, nightOn),
        ...growingTasks(season, group, now),
        ...dailyOf(season, group, now, nightOn),
      ]);
    addAll(out, heatRound(season, stays, now));
  }
  addAll(out, withdrawalTasks(season, now));
  return out;
}

function hours(low: number, high: number): string {
  const [from, to] = [Math.floor(low), Math.ceil(high)];
  return from === to ? `${from} h` : `${from}–${to} h`;
}

/** Chicks taken off and in no group: the clock runs from the first of them. */
function broodTasks(season: Season, now: Now): TaskDraft[] {
  return waitingChicks(season, now).map((one) => {
    const brooder = season.brooders.size === 1 ? [...season.brooders.keys()][0] : 'BROODER';
    // In a group without a brooder they are to go to their buyers.
    const toGo = season.rows.group.find(
      ({ values }) => values.set === one.set && values.brooder === null,
    );
    const settle =
      season.brooders.size === 0
        ? `add tick ${one.set}/brood`
        : toGo !== undefined
          ? `add leaving ${toGo.values.group} --sex unknown --birds ${one.chicks} --way sold`
          : `add group NAME --set ${one.set}${one.pens.length === 1 ? ` --pen ${one.pens[0]}` : ' --pen PEN'} --brooder ${brooder} --chicks ${one.chicks}`;
    const limit = holdingFigures.limit_hours.value;
    return taskOf({
      id: `${one.set}/brood`,
      kind: 'brood',
      due: one.since.day,
      until: addDays(one.since.day, 1),
      set: one.set,
      pen: one.pens.length === 1 ? one.pens[0]! : null,
      count: one.chicks,
      title:
        one.verdict === 'past-limit'
          ? `Enter where ${plural(one.chicks, 'chick')} of ${one.set} went ${hours(one.low, one.high)} ago`
          : `${plural(one.chicks, 'chick')} of ${one.set} ${one.chicks === 1 ? 'waits' : 'wait'} ${hours(one.low, one.high)}: heat, water, feed`,
      why: [
        one.verdict === 'past-limit'
          ? `past ${limit} hours, the limit of survival`
          : `before ${one.actHours} hours; ${limit} is the limit of survival, not a target`,
        ...one.assumes,
      ].join('; '),
      settle,
    });
  });
}

/** Chicks with their hen are entered as a group, so that their losses, sexes and leavings count. */
function henTasks(season: Season): TaskDraft[] {
  return chicksWithHens(season).map(({ set, hen, pens, chicks, since }) =>
    taskOf({
      id: `${set}/brood`,
      kind: 'with-hen',
      due: since,
      until: addDays(since, HEN_DAYS),
      set,
      pen: pens.length === 1 ? pens[0]! : null,
      place: hen,
      count: chicks,
      title: `${plural(chicks, 'chick')} of ${set} with ${hen}: enter as a group`,
      why: 'she warms them; feed and water where chicks reach it, and not a hen',
      settle: `add group NAME --set ${set} --pen ${pens.length === 1 ? pens[0] : 'PEN'} --brooder ${hen} --chicks ${chicks}`,
    }),
  );
}

/** Days in which chicks with their hen are to be counted: she leaves the nest on the first or second. */
const HEN_DAYS = 3;

function brooderOf(season: Season, group: Group): string | null {
  const places = group.standings.at(-1)!.places;
  return [...places.keys()].find((place) => season.brooders.has(place)) ?? null;
}

/** A task of a group, about all its birds unless told otherwise. */
function ofGroup(group: Group, one: Omit<Put, 'id'> & { readonly id?: string }): TaskDraft {
  const { name, parts, living } = group;
  return taskOf({ id: `${name}/${one.kind}`, set: parts[0]!.set, count: living, ...one });
}

/** Hardening off, and moving out when age and nights allow. */
function leavingTasks(season: Season, group: Group, nightOn: NightOn): TaskDraft[] {
  const brooder = brooderOf(season, group);
  if (brooder === null) return [];
  const unit = season.values.units.temperature;
  const birds = group.standings.at(-1)!.places.get(brooder)!;
  const date = expectedExit(season, group, nightOn);
  const moving = movingOutOf(season, group, nightOn);
  const { low, high } = hardening.days.value;
  const nights = `${wholeDegrees(moving.nightLow, unit)} °${unit}`;
  const common = { place: brooder, count: birds };
  return [
    ofGroup(group, {
      ...common,
      kind: 'harden',
      due: addDays(date, -high),
      until: addDays(date, -low),
      title: `Begin to harden off ${group.name}: days out first, in dry weather`,
      why: `${low} to ${high} days before they move out`,
    }),
    ofGroup(group, {
      ...common,
      kind: 'move-out',
      due: date,
      until: addDays(date, 7),
      title: `Move ${plural(birds, 'bird')} of ${group.name} out of ${brooder}`,
      why:
        moving.heldBy === 'unknown'
          ? `by age alone: no nights are known; they can meet ${nights}; give normals: or weather rows`
          : `nights of ${nights} suit them${moving.heldBy === 'nights' ? ', not before' : ''}; nine nights in ten: ${moving.safe ?? 'not known'}`,
      settle: `add move ${group.name} --to out --birds ${birds}`,
    }),
  ];
}

/** Days an unticked change of feed is still told. */
const FEED_DAYS = 7;

function growingTasks(season: Season, group: Group, now: Now): TaskDraft[] {
  const { name, living, parts, sexes } = group;
  const growth = growthOf(kindOfLine(season, group.line));
  const values = season.values.lines[group.line.name];
  const at = (days: number): Day => addDays(group.youngest, days);
  const out: TaskDraft[] = [];
  const put = (one: Parameters<typeof ofGroup>[1]): void => {
    out.push(ofGroup(group, one));
  };
  growth.protein.value.forEach((step, index, all) => {
    const next = all[index + 1];
    const from = at(step.from_day);
    if (index === 0 || (next && at(next.from_day) <= now.day)) return;
    if (daysBetween(from, now.day) > FEED_DAYS * 4) return;
    put({
      id: `${name}/feed-${index + 1}`,
      kind: 'feed',
      due: from,
      until: addDays(from, FEED_DAYS),
      title: `Change ${name} to ${step.name}, ${step.percent} % protein`,
      why: `day ${step.from_day} of age; no layer feed before the first eggs`,
    });
  });
  const again = work.punch_again_days.value;
  const isPunched = parts.some((part) => /toe|punch|web/i.test(part.mark ?? ''));
  if (isPunched && ageOn(group.youngest, now.day) <= again * 2)
    put({
      kind: 'mark',
      due: at(again),
      until: at(again + 3),
      title: `Look at the toe punches of ${name} again`,
      why: `webs grow shut; punch again at about ${again} days`,
    });
  const { value: sexing, seen } = growth.sexing_days;
  const own = values?.sexing_age_days;
  if (!group.sexings.some((row) => row.on.day >= at(own ?? sexing.first)))
    put({
      kind: 'sex',
      due: at(own ?? sexing.certain),
      until: at(own ?? sexing.last),
      title: `Sex the ${plural(living, 'bird')} of ${name}`,
      why: own
        ? `${own} days of age, as season.yaml says of ${group.line.name}`
        : `day ${sexing.certain} of age: ${seen === 'practice' ? 'common practice' : 'certain by then'}`,
      settle: `add sexing ${name} --pullets N --cockerels N --unsure N`,
    });
  const table = growth.table_days.value;
  if (sexes !== null && sexes.cockerels > 0)
    put({
      kind: 'table',
      due: at(table.low),
      until: at(table.high),
      count: sexes.cockerels,
      title: `Table age for ${plural(sexes.cockerels, 'cockerel')} of ${name} not kept as breeders`,
      why: `day ${table.low} to ${table.high} of age; heed withdrawal, your local rules and a trained hand`,
      settle: `add leaving ${name} --sex male --birds N --way table --mass-kg N`,
    });
  const lay = values?.point_of_lay_days;
  const eggs = growth.first_egg_days.value;
  const pullets = sexes?.pullets ?? null;
  if (pullets !== 0)
    put({
      kind: 'point-of-lay',
      due: at(lay ?? eggs.low),
      until: at(lay ?? eggs.high),
      count: pullets,
      title: `${pullets === null ? 'Pullets' : plural(pullets, 'pullet')} of ${name} near point of lay: nests, light, layer feed at the first eggs`,
      why: `day ${lay ?? `${eggs.low} to ${eggs.high}`} of age`,
      settle: `add leaving ${name} --sex female --birds N --way layer`,
    });
  return out;
}

/** Every day while birds live: feed, water, count; shade where a tunnel grows hot. */
function dailyOf(season: Season, group: Group, { day }: Now, nightOn: NightOn): TaskDraft[] {
  const place = [...group.standings.at(-1)!.places.keys()][0] ?? null;
  const kind = kindOfLine(season, group.line);
  const age = ageOn(group.youngest, day);
  const stage = feedStage(kind, age);
  // Which hens lay is seen, not reckoned.
  const hens = age >= pointOfLayOf(kind) && group.sexes?.pullets !== 0;
  const water = taskOf({
    id: `${group.name}/${day}/water`,
    kind: 'birds',
    due: day,
    place,
    count: group.living,
    daily: true,
    title: `Feed, water and count ${group.name}: ${plural(group.living, 'bird')}, ${stage.name}${hens && stage.name !== 'layer' ? ', layer for hens that lay' : ''}`,
    why: 'rats leave no body: only a count tells',
  });
  const housing = place === null ? undefined : season.brooders.get(place)?.housing;
  const isClosed = housing === 'tunnel' || housing === 'hoop';
  const high = isClosed ? (nightOn(day)?.high ?? null) : null;
  if (high === null || high < shadeFigures.hot_day_c.value) return [water];
  const { temperature: unit } = season.values.units;
  const shade = taskOf({
    id: `${place}/${day}/shade`,
    kind: 'shade',
    due: day,
    place,
    title: `Shade and air for ${place}: ${wholeDegrees(high, unit)} °${unit} expected`,
    why: `a closed ${housing} grows hot`,
  });
  return [water, shade];
}

function withdrawalTasks(season: Season, now: Now): TaskDraft[] {
  return withdrawalsOf(season)
    .filter((one) => one.days > 0 && now.day <= one.clear)
    .map((one) =>
      taskOf({
        id: `${one.of}/withdrawal-${one.what}-${one.entry}`,
        kind: 'withdrawal',
        due: one.clear,
        until: one.clear,
        title: `${one.of}: ${one.what} clear again after ${one.product}`,
        why: `${one.days} days from ${one.from}, as you read on the label; ask your vet if in doubt`,
      }),
    );
}
