// What `npm test` says at its end, counted by the run: vitest's JSON report of this many tests outgrows what one string can hold.
import { writeFileSync } from "node:fs";

/** Writes { passed, failed, notRunInBrowser } as JSON to the file that FERRULE_TEST_COUNTS names. */
export default class CountReporter {
  onTestRunEnd(testModules) {
    const counts = { passed: 0, failed: 0, notRunInBrowser: 0 };
    for (const module of testModules) {
      for (const test of module.children.allTests()) {
        const { state } = test.result();
        if (state === "passed" || state === "failed") counts[state] += 1;
        else if (module.moduleId.includes("/tests/web/")) counts.notRunInBrowser += 1;
      }
    }
    const file = process.env.FERRULE_TEST_COUNTS;
    if (file) writeFileSync(file, JSON.stringify(counts));
  }
}
