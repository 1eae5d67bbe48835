/**
 * The known words nearest to a mistyped one, best first, at most `most`; none if nothing is near.
 * Distance counts insertions, deletions, substitutions and swaps of neighbours (optimal string
 * alignment, after Damerau 1964), case ignored; a word is near within a third of its length.
 */
export function nearest(word: string, known: Iterable<string>, most = 3): string[] {
  const asked = word.slice(0, 64).toLowerCase();
  const found: { word: string; distance: number }[] = [];
  for (const candidate of known) {
    const lower = candidate.toLowerCase();
    const distance = alignment(asked, lower);
    const limit = Math.max(1, Math.floor(Math.max(asked.length, lower.length) / 3));
    if (distance <= limit || (asked.length >= 3 && lower.startsWith(asked)))
      found.push({ word: candidate, distance });
  }
  found.sort((a, b) => a.distance - b.distance || a.word.localeCompare(b.word, 'en'));
  return found.slice(0, most).map((one) => one.word);
}

/** The most known words that a slip is compared with. */
const MOST_COMPARED = 500;

/** A hint sentence for an unknown word, or null when nothing is near and the list is long. */
export function didYouMean(word: string, known: Iterable<string>): string | null {
  const all = [...known];
  // Nobody reads through so many for a slip.
  if (all.length > MOST_COMPARED) return null;
  const near = nearest(word, all);
  if (near.length > 0) return `did you mean ${near.join(' or ')}?`;
  const few = 12;
  return all.length > 0 && all.length <= few ? `known: ${all.join(', ')}` : null;
}

function alignment(a: string, b: string): number {
  let before: number[] = [];
  let above = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i += 1) {
    const row = [i];
    for (let j = 1; j <= b.length; j += 1) {
      const same = a[i - 1] === b[j - 1] ? 0 : 1;
      let best = Math.min(above[j]! + 1, row[j - 1]! + 1, above[j - 1]! + same);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1])
        best = Math.min(best, before[j - 2]! + 1);
      row.push(best);
    }
    before = above;
    above = row;
  }
  return above[b.length]!;
}
