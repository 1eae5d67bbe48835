import {
  growthOf,
  hardening,
  holdingFigures,
  pointOfLayOf,
  shadeFigures,
} from '../../season/brooding.ts';
import type { Now, Season } from '../../season/model.ts';
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
import { type TaskDraft, taskOf } from './task.ts';
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
          ? `Enter where ${one.chicks} chicks of ${one.set} went ${hours(one.low, one.high)} ago`
          : `${one.chicks} chicks of ${one.set} wait ${hours(one.low, one.high)}: heat, water, feed`,
      why:
        one.verdict === 'past-limit'
          ? `past ${limit} hours, the limit of survival`
          : `before ${one.actHours} hours; ${limit} is the limit of survival, not a target`,
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
      title: `${chicks} chicks of ${set} run with ${hen}: enter them as a group`,
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

/** Hardening off, and moving out when age and nights allow. */
function leavingTasks(season: Season, group: Group, nightOn: NightOn): TaskDraft[] {
  const brooder = brooderOf(season, group);
  if (brooder === null) return [];
  const unit = season.values.units.temperature;
  const set = group.parts[0]!.set;
  const birds = group.standings.at(-1)!.places.get(brooder)!;
  const out: TaskDraft[] = [];
  const date = expectedExit(season, group, nightOn);
  const moving = movingOutOf(season, group, nightOn);
  const { low, high } = hardening.days.value;
  const nights = `${wholeDegrees(moving.nightLow, unit)} °${unit}`;
  const why =
    moving.heldBy === 'unknown'
      ? `by age alone: no nights are known; they can meet ${nights}; give normals: or weather rows`
      : `nights of ${nights} suit them${moving.heldBy === 'nights' ? ', not before' : ''}; nine nights in ten: ${moving.safe ?? 'not known'}`;
  out.push(
    taskOf({
      id: `${group.name}/harden`,
      kind: 'harden',
      due: addDays(date, -high),
      until: addDays(date, -low),
      set,
      place: brooder,
      count: birds,
      title: `Begin to harden off ${group.name}: days out first, in dry weather`,
      why: `${low} to ${high} days before they move out`,
    }),
    taskOf({
      id: `${group.name}/move-out`,
      kind: 'move-out',
      due: date,
      until: addDays(date, 7),
      set,
      place: brooder,
      count: birds,
      title: `Move ${birds} birds of ${group.name} out of ${brooder}`,
      why,
      settle: `add move ${group.name} --to out --birds ${birds}`,
    }),
  );
  return out;
}

/** Days an unticked change of feed is still told. */
const FEED_DAYS = 7;

function growingTasks(season: Season, group: Group, now: Now): TaskDraft[] {
  const kind = kindOfLine(season, group.line);
  const growth = growthOf(kind);
  const values = season.values.lines[group.line.name];
  const set = group.parts[0]!.set;
  const out: TaskDraft[] = [];
  const at = (days: number): Day => addDays(group.youngest, days);
  growth.protein.value.forEach((step, index, all) => {
    if (index === 0 || (all[index + 1] && at(all[index + 1]!.from_day) <= now.day)) return;
    if (daysBetween(at(step.from_day), now.day) > FEED_DAYS * 4) return;
    out.push(
      taskOf({
        id: `${group.name}/feed-${index + 1}`,
        kind: 'feed',
        due: at(step.from_day),
        until: addDays(at(step.from_day), FEED_DAYS),
        set,
        count: group.living,
        title: `Change ${group.name} to ${step.name}, ${step.percent} % protein`,
        why: `day ${step.from_day} of age; no layer feed before the first eggs`,
      }),
    );
  });
  const again = work.punch_again_days.value;
  const punched = group.parts.find((part) => /toe|punch|web/i.test(part.mark ?? ''));
  if (punched && ageOn(group.youngest, now.day) <= again * 2)
    out.push(
      taskOf({
        id: `${group.name}/mark`,
        kind: 'mark',
        due: at(again),
        until: at(again + 3),
        set,
        count: group.living,
        title: `Look at the toe punches of ${group.name} again`,
        why: `webs grow shut; punch again at about ${again} days`,
      }),
    );
  const sexing = growth.sexing_days.value;
  const own = values?.sexing_age_days;
  const isSexed = group.sexings.some((row) => row.on.day >= at(own ?? sexing.first));
  if (!isSexed)
    out.push(
      taskOf({
        id: `${group.name}/sex`,
        kind: 'sex',
        due: at(own ?? sexing.certain),
        until: at(own ?? sexing.last),
        set,
        count: group.living,
        title: `Sex the ${group.living} birds of ${group.name}`,
        why: own
          ? `${own} days of age, as season.yaml says of ${group.line.name}`
          : `day ${sexing.certain} of age: ${growth.sexing_days.seen === 'practice' ? 'common practice' : 'certain by then'}`,
        settle: `add sexing ${group.name} --pullets N --cockerels N --unsure N`,
      }),
    );
  const males = group.sexes === null ? null : group.sexes.cockerels;
  const table = growth.table_days.value;
  if (males !== null && males > 0)
    out.push(
      taskOf({
        id: `${group.name}/table`,
        kind: 'table',
        due: at(table.low),
        until: at(table.high),
        set,
        count: males,
        title: `Table age for ${males} cockerels of ${group.name} not kept as breeders`,
        why: `day ${table.low} to ${table.high} of age; heed withdrawal, your local rules and a trained hand`,
        settle: `add leaving ${group.name} --sex male --birds N --way table --mass-kg N`,
      }),
    );
  const lay = values?.point_of_lay_days;
  const eggs = growth.first_egg_days.value;
  const pullets = group.sexes === null ? null : group.sexes.pullets;
  if (pullets === null || pullets > 0)
    out.push(
      taskOf({
        id: `${group.name}/point-of-lay`,
        kind: 'point-of-lay',
        due: at(lay ?? eggs.low),
        until: at(lay ?? eggs.high),
        set,
        count: pullets,
        title: `${pullets === null ? 'Pullets' : `${pullets} pullets`} of ${group.name} near point of lay: nests, light, layer feed at the first eggs`,
        why: `day ${lay ?? `${eggs.low} to ${eggs.high}`} of age`,
        settle: `add leaving ${group.name} --sex female --birds N --way layer`,
      }),
    );
  return out;
}

/** Every day while birds live: feed, water, count; shade where a tunnel grows hot. */
function dailyOf(season: Season, group: Group, now: Now, nightOn: NightOn): TaskDraft[] {
  const day = now.day;
  const out: TaskDraft[] = [];
  const place = [...group.standings.at(-1)!.places.keys()][0] ?? null;
  const kind = kindOfLine(season, group.line);
  const age = ageOn(group.youngest, day);
  const stage = feedStage(kind, age);
  // Which hens lay is seen, not reckoned.
  const hens = age >= pointOfLayOf(kind) && group.sexes?.pullets !== 0;
  out.push(
    taskOf({
      id: `${group.name}/${day}/water`,
      kind: 'birds',
      due: day,
      place,
      count: group.living,
      daily: true,
      title: `Feed, water and count ${group.name}: ${group.living} birds, ${stage.name}${hens && stage.name !== 'layer' ? ', layer for hens that lay' : ''}`,
      why: 'rats leave no body: only a count tells',
    }),
  );
  const brooder = place === null ? undefined : season.brooders.get(place);
  if (brooder?.housing !== 'tunnel' && brooder?.housing !== 'hoop') return out;
  const high = nightOn(day)?.high ?? null;
  if (high !== null && high >= shadeFigures.hot_day_c.value)
    out.push(
      taskOf({
        id: `${place}/${day}/shade`,
        kind: 'shade',
        due: day,
        place,
        title: `Shade and air for ${place}: ${wholeDegrees(high, season.values.units.temperature)} °${season.values.units.temperature} expected`,
        why: `a closed ${brooder.housing} grows hot`,
      }),
    );
  return out;
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
