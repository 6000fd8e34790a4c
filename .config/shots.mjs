// `npm run shots`: pictures of the pages into tests/web/pictures, of the demo firm, taken by tests/web/shots.ts. Needs a Chromium, as the tests
// of the pages do.
import { spawnSync } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setUp, top } from "./set-up.mjs";

// One of each page, in the light that it is most used in.
const wanted = [
  "sign-in-light",
  "walk-choose-light",
  "walk-station-dark",
  "walk-item-light",
  "walk-finish-light",
  "walk-ride-light",
  "walk-do-not-ride-dark",
  "offline-answer-light",
  "walk-report-dark",
  "bench-desk-light",
  "bench-repair-light",
  "bench-item-outside-light",
  "bench-story-desk-light",
  "board-depot-desk-light",
  "board-phone-dark",
  "audit-desk-light",
  "audit-record-light",
];

setUp({ withTools: true });
const { default: sharp } = await import("sharp");
const folder = mkdtempSync(join(tmpdir(), "ferrule-shots-"));
const { status } = spawnSync(join(top, "node_modules", ".bin", "vitest"), ["run", "--config", ".config/vitest-shots.ts"], {
  cwd: top,
  stdio: "inherit",
  env: { ...process.env, SHOTS: folder },
});
const pictures = join(top, "tests", "web", "pictures");
mkdirSync(pictures, { recursive: true });
const missing = wanted.filter((name) => !existsSync(join(folder, `${name}.png`)));
for (const name of wanted.filter((one) => !missing.includes(one))) {
  await sharp(join(folder, `${name}.png`))
    .resize({ width: 1000, height: 1600, fit: "inside", withoutEnlargement: true })
    .png({ palette: true, quality: 80, effort: 10 })
    .toFile(join(pictures, `${name}.png`));
}
rmSync(folder, { recursive: true, force: true });
if (missing.length > 0) console.error(`No picture of: ${missing.join(", ")}`);
process.exit(status === 0 && missing.length === 0 ? 0 : 1);
