// Photos where something goes wrong or happens at the same moment: a disk that fills in the middle of a file, a record and its photo
// that cross on their way.
import { randomUUID } from "node:crypto";
import { mkdtemp, open, readdir, rename, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import sharp from "sharp";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { rebuildState } from "../../src/acts/index.ts";
import { addPhoto } from "../../src/photos/add-photo.ts";
import { type PhotoStore, photoFolderStore, photoStoreOf } from "../../src/photos/photo-store.ts";
import type { Actor } from "../../src/platform/index.ts";
import { expectAnswer, reportOf } from "../support/acts.ts";
import { onServer } from "../support/database.ts";
import { plainPicture } from "../support/pictures.ts";
import { addTestMachine } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

describe("a photo store in a folder", () => {
  let folder: string;
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), "ferrule-photos-"));
  });
  afterAll(() => rm(folder, { recursive: true, force: true }));

  const hash = "ab".repeat(32);
  const filesIn = async () => (await readdir(folder, { recursive: true, withFileTypes: true })).filter((entry) => entry.isFile());

  /** The system's `open`, but each file fails with `code` at this step, half of it written. */
  const failingAt = (step: "writeFile" | "sync" | "close", code: string): typeof open =>
    (async (...place: Parameters<typeof open>) => {
      const handle = await open(...place);
      return {
        writeFile: async (bytes: Uint8Array) =>
          handle.writeFile(step === "writeFile" ? bytes.subarray(0, bytes.length >> 1) : bytes).then(() => fail("writeFile")),
        sync: async () => handle.sync().then(() => fail("sync")),
        close: async () => handle.close().then(() => fail("close")),
      };
      function fail(at: string): void {
        if (at === step) throw Object.assign(new Error(code), { code });
      }
    }) as unknown as typeof open;

  test.each([
    ["writeFile", "ENOSPC", "photo-shelf-full"],
    ["sync", "EDQUOT", "photo-shelf-full"],
    ["close", "EIO", "photo-shelf-away"],
  ] as const)("that fails at %s with %s says so and keeps no half file", async (step, code, problem) => {
    const store = photoFolderStore(folder, failingAt(step, code));
    await expect(store.put(hash, Buffer.alloc(1000, 1))).rejects.toMatchObject({ code: problem });
    expect(await filesIn()).toEqual([]);
    expect([await store.has(hash), await store.get(hash)]).toEqual([false, null]);
  });

  test("keeps what was there when the same is put again and the disk fails", async () => {
    await photoFolderStore(folder).put(hash, Buffer.from("whole"));
    await expect(photoFolderStore(folder, failingAt("writeFile", "ENOSPC")).put(hash, Buffer.from("whole"))).rejects.toThrow();
    expect((await photoFolderStore(folder).get(hash))?.toString()).toBe("whole");
    expect(await photoFolderStore(folder).takeAway(hash, async () => true)).toBe(true);
    expect(await photoFolderStore(folder).takeAway(hash, async () => true)).toBe(false);
    expect(await filesIn()).toEqual([]);
  });

  test("puts bytes back that are wanted again while they are taken away, whatever the question comes to, and after a process that was killed", async () => {
    const store = photoFolderStore(folder);
    await store.put(hash, Buffer.from("whole"));
    expect(await store.takeAway(hash, async () => false)).toBe(false);
    expect((await store.get(hash))?.toString()).toBe("whole");
    await expect(store.takeAway(hash, () => Promise.reject(new Error("no answer")))).rejects.toThrow("no answer");
    expect((await store.get(hash))?.toString()).toBe("whole");
    // As a process leaves it that is killed while it asks.
    await rename(join(folder, hash.slice(0, 2), hash.slice(2)), join(folder, `${hash}.aside`));
    await store.tidy(new Date(Date.now() - 60_000));
    expect(await store.has(hash)).toBe(false);
    await store.tidy(new Date(Date.now() + 60_000));
    expect((await store.get(hash))?.toString()).toBe("whole");
    await store.takeAway(hash, async () => true);
  });

  test("that cannot be reached is told from one on which a photo is missing", async () => {
    const file = join(folder, "file");
    await writeFile(file, "");
    await expect(photoFolderStore(file).get(hash)).rejects.toMatchObject({ code: "photo-shelf-away", status: 503 });
    await expect(photoFolderStore(file).put(hash, Buffer.of(1))).rejects.toMatchObject({ code: "photo-shelf-away", status: 503 });
  });
});

describe("a photo and its record at the same moment", () => {
  const { app, as } = testService();

  test("whichever is first, the chain carries the photo's hash, in the record's entry or in one that follows", async () => {
    const rider = await as("R001");
    const sent = await plainPicture("jpeg");
    const send = (id: string) => rider.post("/v1/photos").query({ id }).set("content-type", "image/jpeg").send(sent);
    const machineId = await addTestMachine(app);
    for (let round = 0; round < (onServer() ? 24 : 6); round += 1) {
      const id = randomUUID();
      const told = (async () => {
        // A photo takes some milliseconds to be drawn anew: the record comes before, within and after them.
        await new Promise((resolve) => setTimeout(resolve, round));
        return rider.post("/v1/defects").send(reportOf(app, machineId, "horn.weak", { photoIds: [id] }));
      })();
      const [photo, report] = await Promise.all([send(id), told]);
      expect([photo.status, report.status], `${photo.text} ${report.text}`).toEqual([201, 201]);
      const carrying = await app.context.db.rows<{ kind: string }>(
        `SELECT kind FROM ledger WHERE chain_id = $1::text::uuid AND data->'photos' @> $2::text::jsonb`,
        [machineId, JSON.stringify([{ id, sha256: photo.body.sha256 }])],
      );
      expect(carrying, `round ${round}`).toHaveLength(1);
      const shown = await expectAnswer(rider.get(`/v1/defects/${report.body.defect.id}`), 200);
      expect(shown.photosAwaited).toEqual([]);
    }
    expect((await rebuildState(app.context.db, machineId))?.differences).toEqual([]);
  });

  test("a picture that is sent again while its forgotten bytes are on their way out is kept", async () => {
    const { context, cast } = app;
    const actor: Actor = {
      ...{
        staffId: cast.staffId("R001"),
        staffNumber: "R001",
        name: "",
        role: "rider",
        roles: ["rider"],
        depotIds: null,
        competences: [],
        sessionId: "",
        mustChangeSecret: false,
        licenceClass: null,
      },
    };
    const store = photoStoreOf(context);
    const sent = await sharp({ create: { width: 40, height: 30, channels: 3, background: "#123456" } })
      .png()
      .toBuffer();
    const nobodyWants = async () => true;
    // Taken away after the bytes came and before the database knows of them: the question finds no photo that wants them.
    const taking: PhotoStore = {
      ...store,
      put: async (sha256, bytes) => {
        await store.put(sha256, bytes);
        if (!wasTaken) wasTaken = await store.takeAway(sha256, nobodyWants);
      },
    };
    let wasTaken = false;
    const { receipt } = await addPhoto(context, actor, { id: randomUUID(), sent }, taking);
    expect(wasTaken).toBe(true);
    expect(await store.has(receipt.sha256)).toBe(true);
    // Taken away while the question is asked: it finds the photo then.
    const again = await store.takeAway(receipt.sha256, async () => {
      await addPhoto(context, actor, { id: randomUUID(), sent }, store);
      return false;
    });
    expect([again, await store.has(receipt.sha256)]).toEqual([false, true]);
  });
});
