import type { Season } from '../../season/model.ts';
import { norms } from '../norms.ts';
import { holm } from '../statistics/holm.ts';
import { handling, stageQuestions } from './deaths.ts';
import { eggQuality, failingMale, longStorage, lowFertility } from './eggs.ts';
import { type Evidence, evidenceOf } from './evidence.ts';
import { type Candidate, type Cause, causes, type Finding, type Verdict } from './finding.ts';
import { dampAndDry, drawnOut, unevenTray, warmAndCool } from './machine.ts';

/**
 * What each cause would bring about by itself (MSU Extension, Trouble shooting failures with egg
 * incubation; UF/IFAS VM101 and VM095; single causes are common practice). A sign below a cause
 * that is found is what one would expect of it, not a second fault.
 */
const bringsAbout: Readonly<Partial<Record<Cause, readonly Cause[]>>> = {
  warm: [
    'early-death',
    'middle-death',
    'late-death',
    'weak-chicks',
    'drawn-out',
    'dry',
    'handling',
  ],
  cool: [
    'early-death',
    'middle-death',
    'late-death',
    'weak-chicks',
    'drawn-out',
    'damp',
    'handling',
  ],
  damp: ['late-death', 'middle-death', 'weak-chicks', 'handling', 'contamination'],
  dry: ['late-death', 'middle-death', 'weak-chicks', 'handling'],
  'uneven-tray': ['late-death', 'middle-death', 'early-death', 'drawn-out', 'weak-chicks'],
  'long-storage': [
    'early-death',
    'low-fertility',
    'middle-death',
    'late-death',
    'drawn-out',
    'cool',
    'weak-chicks',
  ],
  'failing-male': ['low-fertility'],
  'egg-quality': ['handling', 'contamination', 'early-death', 'late-death', 'dry'],
  contamination: ['early-death', 'middle-death', 'late-death', 'weak-chicks'],
  handling: ['contamination'],
};

/** Every question of a diagnosis, asked of a season's records. */
export function candidatesOf(e: Evidence): Candidate[] {
  const male = failingMale(e);
  // A pen whose male fails is judged by itself; it must not drag the others down, nor pass its
  // fall in time off as an effect of storage.
  const failing =
    male.p !== null && male.p < norms.levels.watch.value ? (male.where.pen ?? null) : null;
  return [
    lowFertility(e, failing),
    male,
    longStorage(e, failing),
    eggQuality(e),
    ...warmAndCool(e),
    ...dampAndDry(e),
    unevenTray(e),
    ...stageQuestions(e),
    drawnOut(e),
    handling(e),
  ];
}

const order: Readonly<Record<Verdict, number>> = { act: 0, watch: 1, unknown: 2, fine: 3 };

/**
 * The answers, strongest evidence first. `act` where a question stands up after Holm's correction
 * over all that could be asked; `watch` where it does by itself, or a fact on record asks for a
 * look; `unknown` where the records are too thin. A sign that a surer cause brings about is put
 * below it and only watched.
 */
export function weigh(candidates: readonly Candidate[]): Finding[] {
  const adjusted = holm(candidates.map((c) => c.p));
  const first = candidates.map((c, i): Finding => {
    const { signs, fact, ...rest } = c;
    const p = adjusted[i]!;
    const verdict: Verdict =
      p !== null && p < norms.levels.act.value
        ? 'act'
        : (c.p !== null && c.p < norms.levels.watch.value) || fact
          ? 'watch'
          : c.p === null || c.unknown !== null
            ? 'unknown'
            : 'fine';
    return {
      ...rest,
      verdict,
      p_adjusted: p,
      evidence: signs,
      unknown: verdict === 'act' || verdict === 'watch' ? null : c.unknown,
      explained_by: null,
    };
  });
  const sure = first.filter((f) => f.verdict === 'act');
  const explained = first.map((f): Finding => {
    if (f.verdict !== 'act' && f.verdict !== 'watch') return f;
    const by = sure.filter(
      (s) =>
        s.cause !== f.cause &&
        bringsAbout[s.cause]?.includes(f.cause) &&
        // Two that would explain each other: the surer one does.
        !(bringsAbout[f.cause]?.includes(s.cause) && (f.p ?? 1) < (s.p ?? 1)),
    );
    const best = by.sort((a, b) => (a.p ?? 1) - (b.p ?? 1))[0];
    return best ? { ...f, verdict: 'watch', explained_by: best.cause } : f;
  });
  const standing = new Set(
    explained.filter((f) => f.verdict === 'act' || f.verdict === 'watch').map((f) => f.cause),
  );
  return explained
    .map((f) => ({
      ...f,
      rivals:
        f.verdict === 'act' || f.verdict === 'watch'
          ? [
              ...new Set([
                ...(f.explained_by ? [f.explained_by] : []),
                ...f.rivals.filter((r) => standing.has(r) || isOpen(explained, r)),
              ]),
            ]
          : [],
    }))
    .sort(
      (a, b) =>
        order[a.verdict] - order[b.verdict] ||
        Number(a.explained_by !== null) - Number(b.explained_by !== null) ||
        (a.p ?? 1) - (b.p ?? 1) ||
        causes.indexOf(a.cause) - causes.indexOf(b.cause),
    );
}

/** A rival about which the records say nothing cannot be ruled out. */
function isOpen(findings: readonly Finding[], cause: Cause): boolean {
  return findings.find((f) => f.cause === cause)?.verdict === 'unknown';
}

/** What a season's records say is wrong with it, strongest evidence first; every question once. */
export function diagnose(season: Season): Finding[] {
  return weigh(candidatesOf(evidenceOf(season)));
}
