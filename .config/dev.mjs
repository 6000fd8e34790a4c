// `npm run dev`: the service on the embedded database, begun anew whenever what it runs changes; the pages are made anew when src/web or shared
// changes, and then want a reload in the browser. Its log is shown for reading, one short line an event; LOG_LEVEL=debug says more.
import { spawn } from "node:child_process";
import { watch } from "node:fs";
import { join, sep } from "node:path";
import { createInterface } from "node:readline";
import { setUp, top } from "./set-up.mjs";

setUp({ withTools: true });

/** A line of the log for one who reads along; what is not from the log is shown as it is. */
function readable(line) {
  if (!line.startsWith('{"level":')) return line;
  let event;
  try {
    event = JSON.parse(line);
  } catch {
    return line;
  }
  const { level, time, msg, reqId, operation, status, milliseconds, err, ...rest } = event;
  const grade = level >= 50 ? "ERROR" : level >= 40 ? "warn " : level >= 30 ? "     " : "debug";
  const took = milliseconds === undefined ? undefined : `in ${milliseconds} ms`;
  const others = Object.keys(rest).length > 0 ? JSON.stringify(rest) : undefined;
  const words = [String(time).slice(11, 23), grade, msg, operation, status, took, others, reqId && `(${reqId})`];
  const fault = err ? `\n${err.stack ?? err.message ?? JSON.stringify(err)}` : "";
  return words.filter((word) => word !== undefined).join(" ") + fault;
}

let service = null;
function begin() {
  // Started again by us alone, it stays on the embedded database whatever the shell says.
  const environment = { ...process.env, DATABASE_URL: "embedded", NODE_ENV: "development" };
  const child = spawn(process.execPath, [join(top, ".config", "start.mjs")], { cwd: top, env: environment, stdio: ["ignore", "pipe", "inherit"] });
  createInterface({ input: child.stdout }).on("line", (line) => console.log(readable(line)));
  child.ended = new Promise((done) => child.on("exit", done));
  child.ended.then((code) => {
    if (service !== child) return;
    service = null;
    console.log(`== The service has ended (${code ?? "by a signal"}). It begins anew with the next change.`);
  });
  service = child;
}

/** Waits until the service has closed: the embedded database has one reader. */
async function end() {
  const child = service;
  service = null;
  child?.kill("SIGTERM");
  await child?.ended;
}

// One at a time: what changes meanwhile is taken together in the next turn.
let changed = new Set();
let busy = false;
async function turn() {
  if (busy || changed.size === 0) return;
  busy = true;
  const files = [...changed];
  changed = new Set();
  console.log(`== ${files.slice(0, 3).join(", ")}${files.length > 3 ? ` and ${files.length - 3} more` : ""} changed.`);
  // A page alone is made by the process that makes pages; the service sends what lies there.
  const inPages = (file) => file.startsWith(join("src", "web") + sep) && file !== join("src", "web", "index.ts");
  if (files.every(inPages) && service) await makePages();
  else {
    await end();
    // The start makes client and pages too, where they are not of today's sources.
    begin();
  }
  busy = false;
  await turn();
}

const makePages = () =>
  new Promise((done) => {
    const child = spawn(process.execPath, [join(top, ".config", "build-pages.mjs")], { cwd: top, stdio: "inherit" });
    child.on("exit", (code) => {
      if (code === 0) console.log("== The pages are made; reload them in the browser.");
      done();
    });
  });

const made = [join("src", "web", "built"), join("prisma", "client")];
let pause;
for (const folder of ["src", "shared", "seeds", "prisma"]) {
  watch(join(top, folder), { recursive: true }, (_, name) => {
    const file = join(folder, name ?? "");
    if (!/\.(ts|tsx|css|html|svg|webmanifest|json|sql|prisma)$/.test(file) || made.some((one) => file.startsWith(one + sep))) return;
    changed.add(file);
    clearTimeout(pause);
    pause = setTimeout(turn, 200);
  });
}
for (const signal of ["SIGINT", "SIGTERM"])
  process.on(signal, async () => {
    await end();
    process.exit(0);
  });
begin();
