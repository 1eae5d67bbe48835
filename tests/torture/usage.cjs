// Loaded before the program: leaves the processor time (ms) and the memory (KiB) it took in a file.
const { writeFileSync } = require('node:fs');
process.on('exit', () => {
  const { userCPUTime, systemCPUTime, maxRSS } = process.resourceUsage();
  writeFileSync(
    process.env.USAGE,
    JSON.stringify({ cpu: (userCPUTime + systemCPUTime) / 1000, memory: maxRSS }),
  );
});
