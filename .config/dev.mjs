// `npm run dev`: the service on the embedded database, restarted whenever its code changes; the pages are rebuilt when src/web or shared changes,
// and then need a reload in the browser. Its log is printed readably, one short line an event; LOG_LEVEL=debug prints more.
import { spawn } from "node:child_process";
import { watch } from "node:fs";
import { join, sep } from "node:path";
import { createInterface } from "node:readline";
import { setUp, top } from "./set-up.mjs";

setUp({ withTools: true });

/** A line of the log in readable form; other output stays as it is. */
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
  // Always the embedded database, whatever the shell's environment says.
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

/** Waits until the service has closed: only one process may use the embedded database. */
async function end() {
  const child = service;
  service = null;
  child?.kill("SIGTERM");
  await child?.ended;
}

// One restart at a time: changes that come meanwhile are handled together in the next one.
let changed = new Set();
let busy = false;
async function turn() {
  if (busy || changed.size === 0) return;
  busy = true;
  const files = [...changed];
  changed = new Set();
  console.log(`== ${files.slice(0, 3).join(", ")}${files.length > 3 ? ` and ${files.length - 3} more` : ""} changed.`);
  // A change of the pages alone needs no restart: another process rebuilds them, and the service sends the files that are there.
  const inPages = (file) => file.startsWith(join("src", "web") + sep) && file !== join("src", "web", "index.ts");
  if (files.every(inPages) && service) await makePages();
  else {
    await end();
    // The start also rebuilds the database client and the pages if their sources changed.
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
