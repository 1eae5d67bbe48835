/** True where the long tests are run too: `npm run test:all`. */
export const isLongRun = process.env.TRAYBOOK_TESTS === 'all';
