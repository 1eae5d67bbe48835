import { type Fault, fault } from './fault.ts';
import { placeAt, type Source } from './source.ts';

/** The lines that git leaves where two people changed the same lines (git-merge(1)). */
const MARK = /^(?:<{7}|\|{7}|>{7})(?: |$)/m;

/** A file that holds an unfinished merge has this one fault: all else in it follows from that. */
export function unfinishedMerge(source: Source): Fault | null {
  const found = MARK.exec(source.text);
  if (found === null) return null;
  return fault(
    'unfinished-merge',
    placeAt(source, found.index),
    'two versions stand here side by side: git could not merge them by itself',
    {
      hint: `keep what is right, delete the lines that begin with <<<<<<<, =======, >>>>>>>, then: git add ${source.path}`,
    },
  );
}
