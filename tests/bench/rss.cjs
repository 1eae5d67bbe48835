// Loaded before the program by the bench: leaves the peak memory of the process in a file.
const { writeFileSync } = require('node:fs');
process.on('exit', () => {
  writeFileSync(process.env.BENCH_RSS, String(process.resourceUsage().maxRSS));
});
