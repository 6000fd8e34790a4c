// What prints a table may stand in a pipe: it prints the table alone, and is content with a reader who has seen enough.
import { spawn, spawnSync } from "node:child_process";
import { once } from "node:events";
import { describe, expect, test } from "vitest";
import { top } from "../support/sources.ts";

const firstLines = {
  routes: /^(GET|POST|PUT|DELETE|PATCH) +\/\S+ +\w+ /,
  errors: /^\| status \| code \| title \|$/,
  sheets: /^\d{4}-\d{2} {2}[0-9a-f]{64}$/,
} as const;
const tableCommand = (table: string): string[] => [".config/run.mjs", "--as-it-is", "src/print.ts", table];

describe("a command that prints a table", () => {
  for (const [table, first] of Object.entries(firstLines))
    test(`prints ${table} and nothing else`, () => {
      const { stdout, stderr, status } = spawnSync(process.execPath, tableCommand(table), { cwd: top, encoding: "utf8" });
      expect({ status, stderr }).toEqual({ status: 0, stderr: "" });
      expect(stdout.split("\n")[0]).toMatch(first);
    });

  test("ends in order where nobody reads on", async () => {
    const child = spawn(process.execPath, tableCommand("routes"), { cwd: top, stdio: ["ignore", "pipe", "pipe"] });
    let complaints = "";
    child.stderr.on("data", (part) => {
      complaints += part;
    });
    child.stdout.destroy();
    const [status] = await once(child, "close");
    expect({ status, complaints }).toEqual({ status: 0, complaints: "" });
  });
});
