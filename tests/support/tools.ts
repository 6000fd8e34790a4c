// Checkers that are no package of the project: on some machines they are not there.
import { execFile } from "node:child_process";
import { promisify } from "node:util";

const run = promisify(execFile);

/** Whether a checker is on this machine. CI installs it, so there its absence is a failure; elsewhere the test says what it did not do. */
export const hasTool = async (tool: string): Promise<boolean> => {
  try {
    await run(tool, ["--version"]);
    return true;
  } catch (error) {
    // pdftotext has no --version and answers with its help and a code; only a missing file counts.
    if ((error as NodeJS.ErrnoException).code !== "ENOENT") return true;
    if (process.env["CI"] !== undefined) throw new Error(`${tool} is missing, and CI must have it`);
    console.info(`${tool} is not installed: this check was not made`);
    return false;
  }
};
