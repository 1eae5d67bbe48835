// Names what was skipped in the last lines, so that a run that left something out says so.

/** A reporter of vitest. */
export default class Skipped {
  onTestRunEnd(modules) {
    const names = [];
    for (const module of modules)
      for (const test of module.children.allTests('skipped')) names.push(test.fullName);
    for (const name of names) console.log(`SKIPPED: ${name}`);
    const long = modules.some(({ moduleId }) => moduleId.includes('.long.test.'));
    if (!long) console.log('The long tests are left out here: npm run test:all runs them too.');
  }
}
