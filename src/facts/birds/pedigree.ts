/**
 * A pedigree put in order: parents before young, loops found, doubtful parents turned into
 * averages. Nothing here knows of pens or files.
 */

/** A possible parent and the chance (0–1) that it is the one. */
export interface PossibleParent {
  readonly id: string;
  readonly share: number;
}

export interface PedigreeEntry {
  readonly id: string;
  /** Possible sires; none means unknown and unrelated. Shares add to 1 at most. */
  readonly sire: readonly PossibleParent[];
  readonly dam: readonly PossibleParent[];
  /** Above 1: not one bird, but the average of this many unnamed, unrelated birds. */
  readonly unnamed?: number;
}

/** One term of a node: what part of its genes comes from which earlier node. */
export interface PedigreeSource {
  readonly node: number;
  readonly part: number;
}

/**
 * One node of an ordered pedigree. A bird draws half its genes from each parent node. Where a
 * parent is one of several, the parent node is their average, which is no bird and adds no
 * Mendelian sampling of its own (Henderson 1988, the average relationship matrix).
 */
export interface PedigreeNode {
  /** `null` for an average of possible parents. */
  readonly id: string | null;
  readonly sources: readonly PedigreeSource[];
  readonly sire: number | null;
  readonly dam: number | null;
  /** Number of unnamed birds it stands for; 1 for a bird, 0 for an average of parents. */
  readonly birds: number;
}

export interface Pedigree {
  readonly nodes: readonly PedigreeNode[];
  readonly indexOf: ReadonlyMap<string, number>;
}

/** What keeps a pedigree from being one: each loop as the birds passed, first bird repeated. */
export interface PedigreeFaults {
  readonly loops: readonly (readonly string[])[];
  /** Parents that are named but have no entry. */
  readonly missing: readonly { readonly id: string; readonly parent: string }[];
  readonly repeated: readonly string[];
}

const parentsOf = (entry: PedigreeEntry) => [...entry.sire, ...entry.dam];

/** Finds loops, parents without an entry and repeated birds. Linear in the size of the pedigree. */
export function pedigreeFaults(entries: readonly PedigreeEntry[]): PedigreeFaults {
  const byId = new Map<string, PedigreeEntry>();
  const repeated: string[] = [];
  for (const entry of entries) {
    if (byId.has(entry.id)) repeated.push(entry.id);
    else byId.set(entry.id, entry);
  }
  const missing = [...byId.values()].flatMap((entry) =>
    parentsOf(entry)
      .filter(({ id }) => !byId.has(id))
      .map(({ id }) => ({ id: entry.id, parent: id })),
  );
  const loops: string[][] = [];
  const done = new Set<string>();
  for (const start of byId.keys()) {
    if (done.has(start)) continue;
    // Depth first without recursion: a line can be thousands of generations deep in a bad file.
    const path: { id: string; next: number }[] = [{ id: start, next: 0 }];
    const onPath = new Map([[start, 0]]);
    while (path.length > 0) {
      const top = path[path.length - 1]!;
      const parent = parentsOf(byId.get(top.id)!)[top.next];
      top.next += 1;
      if (parent === undefined) {
        path.pop();
        onPath.delete(top.id);
        done.add(top.id);
      } else if (onPath.has(parent.id)) {
        const from = onPath.get(parent.id)!;
        loops.push([...path.slice(from).map(({ id }) => id), parent.id]);
      } else if (byId.has(parent.id) && !done.has(parent.id)) {
        onPath.set(parent.id, path.length);
        path.push({ id: parent.id, next: 0 });
      }
    }
  }
  return { loops, missing, repeated };
}

/**
 * Puts a pedigree in order.
 * @throws RangeError when `pedigreeFaults` finds any: ask it first, and show what it says.
 */
export function orderPedigree(entries: readonly PedigreeEntry[]): Pedigree {
  const faults = pedigreeFaults(entries);
  if (faults.loops.length + faults.missing.length + faults.repeated.length > 0)
    throw new RangeError('the pedigree has loops, missing parents or repeated birds');
  const byId = new Map(entries.map((entry) => [entry.id, entry]));
  const nodes: PedigreeNode[] = [];
  const indexOf = new Map<string, number>();
  const averages = new Map<string, number>();

  const parentNode = (possible: readonly PossibleParent[]): number | null => {
    const parents = possible.filter(({ share }) => share > 0);
    if (parents.length === 0) return null;
    if (parents.length === 1 && parents[0]!.share === 1) return indexOf.get(parents[0]!.id)!;
    const sources = parents.map(({ id, share }) => ({ node: indexOf.get(id)!, part: share }));
    sources.sort((a, b) => a.node - b.node);
    // Chicks of one pen share one average.
    const key = sources.map(({ node, part }) => `${node}:${part}`).join(' ');
    const known = averages.get(key);
    if (known !== undefined) return known;
    averages.set(key, nodes.length);
    nodes.push({ id: null, sources, sire: null, dam: null, birds: 0 });
    return nodes.length - 1;
  };

  const place = (entry: PedigreeEntry) => {
    const sire = parentNode(entry.sire);
    const dam = parentNode(entry.dam);
    const sources = [sire, dam].flatMap((node) => (node === null ? [] : [{ node, part: 0.5 }]));
    indexOf.set(entry.id, nodes.length);
    nodes.push({ id: entry.id, sources, sire, dam, birds: entry.unnamed ?? 1 });
  };

  for (const start of entries) {
    const path = [start];
    while (path.length > 0) {
      const top = path[path.length - 1]!;
      if (indexOf.has(top.id)) {
        path.pop();
        continue;
      }
      const waiting = parentsOf(top).filter(({ id }) => !indexOf.has(id));
      if (waiting.length === 0) {
        place(top);
        path.pop();
      } else for (const { id } of waiting) path.push(byId.get(id)!);
    }
  }
  return { nodes, indexOf };
}
