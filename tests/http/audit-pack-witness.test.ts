// Packs of a firm with a witness outside: the time-stamps are in them, both checks take them, and neither takes one that is altered.
import { execFile } from "node:child_process";
import { createHash } from "node:crypto";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { promisify } from "node:util";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { sayTimeStamps } from "../../src/audit/time-stamps.ts";
import { type Verdict, verifyPack } from "../../src/audit/verify-pack.ts";
import { inGroups, takeCheckpoint } from "../../src/ledger/index.ts";
import { readAuthorities, seeNow } from "../../src/witness/index.ts";
import { readPdf } from "../reports/read-pdf.ts";
import { type As, peopleAtHand } from "../support/acts.ts";
import { openTestApp, type TestApp } from "../support/app.ts";
import { openTestContext } from "../support/context.ts";
import { Forger } from "../support/forged-packs.ts";
import { type Files, hasPython, packOf, verifyElsewhere, zipOf } from "../support/packs.ts";
import { addTestMachine } from "../support/sheets.ts";
import {
  hasOpenssl,
  makeTimeAuthority,
  openWitnessServer,
  stamping,
  type TimeAuthority,
  type WitnessServer,
} from "../support/time-authority.ts";

const elsewhere = hasPython();
const top = join(import.meta.dirname, "../..");

describe.skipIf(!hasOpenssl())("a pack of a firm with a witness", () => {
  let authority: TimeAuthority;
  let stranger: TimeAuthority;
  let server: WitnessServer;
  let app: TestApp;
  let as: As;
  let folder: string;
  let pack: Files;
  let authorities: Awaited<ReturnType<typeof readAuthorities>>;
  const month = new Date().toISOString().slice(0, 7);

  beforeAll(async () => {
    [authority, stranger] = await Promise.all([makeTimeAuthority(), makeTimeAuthority()]);
    authorities = await readAuthorities(authority.rootFile);
    server = await openWitnessServer(stamping(authority));
    const witness = { url: server.url, host: new URL(server.url).host, authorization: null, authorities: authority.rootFile };
    // The authority has no other time than this machine's.
    app = await openTestApp(await openTestContext(new Date().toISOString(), { witness }));
    as = peopleAtHand(app);
    folder = await mkdtemp(join(tmpdir(), "ferrule-witnessed-"));
    await addTestMachine(app);
    app.context.clock.moveTo(new Date());
    const first = await takeCheckpoint(app.context);
    if (first) await seeNow(app.context, first);
    app.context.clock.moveTo(new Date());
    await takeCheckpoint(app.context);
    pack = await packNow();
  });
  afterAll(async () => {
    await app.close();
    await server.close();
    await Promise.all([authority.remove(), stranger.remove()]);
    await rm(folder, { recursive: true, force: true });
  });

  const packNow = (): Promise<Files> => {
    app.context.clock.moveTo(new Date());
    return packOf({ app, as }, { month });
  };

  /** What both checks say; the other language only where it can run. */
  async function verdicts(files: Iterable<readonly [string, Buffer]>, { judged = true } = {}): Promise<Verdict> {
    const path = await zipOf(folder, files);
    const here = await verifyPack(path, judged ? { authorities } : {});
    if (elsewhere) expect(await verifyElsewhere(path, judged ? { ca: authority.rootFile } : {})).toMatchObject({ holds: here.holds });
    return here;
  }
  const own = () => new Forger(app, pack).lines<{ number: number; jws: string }>("checkpoints").at(-1) ?? { number: 0, jws: "" };
  const printOf = ({ jws }: { jws: string }): string => createHash("sha256").update(jws).digest("hex");

  test("holds with the time-stamps that were given, that of its own checkpoint among them, and says who signed them and when", async () => {
    const told = await verdicts(pack);
    expect(told).toMatchObject({
      holds: true,
      timeStamps: {
        stamps: 2,
        checkpoints: 3,
        judged: true,
        authorities: ["Test Clock good, Made up for a test"],
        ownAt: expect.any(Date),
      },
    });
    expect(await verdicts(pack, { judged: false })).toMatchObject({ holds: true, timeStamps: { judged: false } });
    expect(pack.get("read-me.txt")?.toString()).toContain("an authority outside says of when a checkpoint existed: 2 of 3");
  });

  test("prints on its paper the checkpoint that it holds itself, and the check finds it by that print", async () => {
    const print = printOf(own());
    const { text } = await readPdf(pack.get("month.pdf") ?? Buffer.alloc(0));
    expect(text.replaceAll(/\s/g, "")).toContain(print);
    const path = await zipOf(folder, pack);
    const run = (...options: string[]) =>
      promisify(execFile)(process.execPath, ["--import", "tsx", "src/audit/verify.ts", path, ...options], { cwd: top }).then(
        ({ stdout }) => stdout,
        ({ code, stderr }: { code: number; stderr: string }) => `${code} ${stderr}`,
      );
    const said = await run("--ca", authority.rootFile, "--print", inGroups(print).toUpperCase());
    expect(said).toContain(`The print that you named is that of checkpoint ${own().number} of `);
    expect(said).toContain("2 of its 3 checkpoints are time-stamped, by Test Clock good, Made up for a test.");
    expect(said).toMatch(/Its own checkpoint, and so every record in it, existed before \d{4}-/);
    expect(said).toContain(inGroups(print));
    expect(await run("--print", "0".repeat(64))).toMatch(/^1 .*None of its checkpoints has the print that you named\./s);
    const elsewhere = await verifyPack(path, { print });
    expect(elsewhere).toMatchObject({ holds: true, printed: { number: own().number } });
    if (elsewhere.holds) expect(sayTimeStamps(elsewhere.timeStamps).join(" ")).toContain("Who signed the time-stamps was not judged");
  });

  test("with a time-stamp of another checkpoint, of one that is not in it, twice, or in another form is refused", async () => {
    const altered = async (change: (stamps: { number: number; token: string }[]) => object[]): Promise<Verdict> => {
      const forger = new Forger(app, pack);
      forger.put("time-stamps", change(forger.lines("time-stamps")));
      return verdicts(await forger.signed());
    };
    const [first, last] = new Forger(app, pack).lines<{ number: number; token: string }>("time-stamps");
    if (!first || !last) throw new Error("there are two");
    const swapped = await altered(() => [
      { ...first, token: last.token },
      { ...last, token: first.token },
    ]);
    expect(swapped).toMatchObject({ holds: false, why: expect.stringContaining("The time-stamp is of something else.") });
    expect(await altered(() => [first, { ...last, number: 999 }])).toMatchObject({
      holds: false,
      why: expect.stringContaining("not in the pack"),
    });
    expect(await altered(() => [first, first])).toMatchObject({ holds: false, why: expect.stringContaining("has two time-stamps") });
    expect(await altered(() => [last, first])).toMatchObject({ holds: false, why: expect.stringContaining("order of the numbers") });
    // A bit of the signature: also where nobody names authorities, it is the token's own.
    const broken = Buffer.from(first.token, "base64");
    broken[broken.length - 5] = (broken.at(-5) ?? 0) ^ 1;
    expect(await altered(() => [{ ...first, token: broken.toString("base64") }])).toMatchObject({ holds: false });
    expect(await altered(() => [{ ...first, at: 1 }])).toMatchObject({ holds: false });
    expect(await altered(() => [{ ...first, token: first.token.slice(0, 400) }])).toMatchObject({ holds: false });
  });

  test("with a time-stamp by another authority than the reader believes is refused, and told as not judged by one who names none", async () => {
    server.answerBy(stamping(stranger));
    app.context.clock.moveTo(new Date());
    const { config } = app.context;
    // The firm believes that one too; its reader does not.
    const believing = { ...app.context, config: { ...config, witness: config.witness && { ...config.witness, authorities: null } } };
    const checkpoint = await takeCheckpoint(app.context);
    if (checkpoint) await seeNow(believing, checkpoint);
    const other = await packNow();
    expect(await verdicts(other)).toMatchObject({ holds: false, why: expect.stringContaining("was not issued by one of the authorities") });
    expect(await verdicts(other, { judged: false })).toMatchObject({ holds: true });
  });

  test("whose witness is away is made without, holds, and says that only the firm says when", async () => {
    server.answerBy((_request, response) => void response.destroy());
    const forger = new Forger(app, await packNow());
    forger.files.delete("time-stamps.ndjson");
    forger.manifest.files = forger.manifest.files.filter(({ name }) => name !== "time-stamps.ndjson");
    expect(await verdicts(await forger.signed())).toMatchObject({ holds: true, timeStamps: { stamps: 0, ownAt: null } });
    const own = forger.lines<{ number: number }>("checkpoints").at(-1)?.number;
    expect(new Forger(app, await packNow()).lines<{ number: number }>("time-stamps").map(({ number }) => number)).not.toContain(own);
  });
});
