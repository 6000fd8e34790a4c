// Photos over HTTP: what is taken, what is left out of it, who sees it, and how it comes to its record whichever arrives first.
import { createHash, randomUUID } from "node:crypto";
import { readdir, rm, writeFile } from "node:fs/promises";
import { join } from "node:path";
import sharp from "sharp";
import { beforeAll, describe, expect, test } from "vitest";
import { mostPhotoBytes } from "../../shared/contracts/photos.ts";
import { rebuildState } from "../../src/acts/index.ts";
import { addPhoto } from "../../src/photos/add-photo.ts";
import { photoFolderStore } from "../../src/photos/index.ts";
import { cleanPicture } from "../../src/photos/picture.ts";
import { expectAnswer, reportOf } from "../support/acts.ts";
import {
  halves,
  type PictureType,
  partsOf,
  pictureTypes,
  plainPicture,
  pngChunk,
  secrets,
  tellingPicture,
  upperAndLower,
  webpOf,
} from "../support/pictures.ts";
import { addTestMachine, checkFinding, inspectionOf } from "../support/sheets.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();
let machineId: string;
beforeAll(async () => {
  machineId = await addTestMachine(app);
});

const send = async (
  bytes: Buffer,
  { who = "R001", id = randomUUID() as string, type = "image/jpeg", status = 201, code = undefined as string | undefined } = {},
) => expectAnswer((await as(who)).post("/v1/photos").query({ id }).set("content-type", type).send(bytes), status, code);
const fetchOf = async (id: string, who = "R001") => (await as(who)).get(`/v1/photos/${id}`).buffer(true);
const sha = (bytes: Uint8Array) => createHash("sha256").update(bytes).digest("hex");
const report = async (photoIds: string[], who = "R001", on = machineId) =>
  expectAnswer((await as(who)).post("/v1/defects").send(reportOf(app, on, "horn.weak", { photoIds })), 201);
const entriesOf = (kind: string, on = machineId) =>
  app.context.db.rows<{ id: string; data: { photos?: { id: string; sha256: string }[] } }>(
    "SELECT id, data FROM ledger WHERE chain_id = $1::text::uuid AND kind = $2::text ORDER BY position",
    [on, kind],
  );

describe.each(pictureTypes)("a %s", (type: PictureType) => {
  test("is kept without place, camera, owner, remark or profile, upright, and by the hash of what is kept", async () => {
    const sent = await tellingPicture(type);
    const held = (bytes: Buffer) => secrets.filter((secret) => bytes.includes(secret));
    expect(held(sent).length).toBeGreaterThan(2);
    const receipt = await send(sent, { type: `image/${type}` });
    // Orientation 6: the camera's right side is up. Published meaning: CIPA DC-008 (Exif), table of the tag Orientation, from memory.
    expect(receipt).toMatchObject({ type: `image/${type}`, widthPx: 48, heightPx: 64 });
    const { body, headers, status } = await fetchOf(receipt.id);
    expect(status).toBe(200);
    const kept = body as Buffer;
    expect([sha(kept), kept.length]).toEqual([receipt.sha256, receipt.bytes]);
    expect(held(kept)).toEqual([]);
    expect(kept.includes("Exif")).toBe(false);
    const { exif, xmp, iptc, icc } = await sharp(kept).metadata();
    expect([exif, xmp, iptc, icc]).toEqual([undefined, undefined, undefined, undefined]);
    expect(partsOf(kept, type).filter((part) => /^(e[1-f]|fe|tEXt|iTXt|zTXt|tIME|eXIf|iCCP|EXIF|XMP |ICCP)$/.test(part))).toEqual([]);
    expect(await upperAndLower(kept)).toEqual(["red", "blue"]);
    expect(headers).toMatchObject({
      "content-type": `image/${type}`,
      "x-content-type-options": "nosniff",
      "content-security-policy": "default-src 'none'; sandbox",
    });
  });
});

describe("whatever else comes with it", () => {
  test("its bytes say what it is, not the name that it comes under", async () => {
    expect((await send(await plainPicture("png"), { type: "image/webp" })).type).toBe("image/png");
  });

  test("what a camera or somebody puts behind a JPEG is not kept, up to the very last byte that is taken", async () => {
    const picture = await plainPicture("jpeg");
    const archive = Buffer.concat([Buffer.from("PK\u0003\u0004 an archive "), Buffer.alloc(mostPhotoBytes, 0x20)]);
    const receipt = await send(Buffer.concat([picture, archive]).subarray(0, mostPhotoBytes));
    const kept = (await fetchOf(receipt.id)).body as Buffer;
    expect(partsOf(kept, "jpeg").at(-1)).toBe("d9");
    expect(kept.includes("an archive")).toBe(false);
  });

  test("the longer side of a large one is brought within bounds", async () => {
    expect(await send(await halves(5000, 1000).jpeg().toBuffer())).toMatchObject({ widthPx: 4096, heightPx: 819 });
  });
});

describe.each(pictureTypes)("a %s that was cut off", (type: PictureType) => {
  test("is refused wherever it was cut", async () => {
    const whole = await plainPicture(type, 120, 90);
    const cuts = [
      ...Array.from({ length: 24 }, (_, bytes) => whole.length - 1 - bytes),
      ...[0.9, 0.5, 0.1].map((part) => Math.floor(whole.length * part)),
    ];
    for (const length of cuts) {
      await expect(cleanPicture(whole.subarray(0, length)), `${length} of ${whole.length}`).rejects.toMatchObject({
        code: "photo-refused",
      });
    }
    await expect(cleanPicture(whole)).resolves.toMatchObject({ widthPx: 120, heightPx: 90 });
  });
});

test("of pictures that come together two are worked on and 24 wait their turn; who comes after them is told to come again", async () => {
  const sent = await plainPicture("jpeg");
  const told = await Promise.allSettled(Array.from({ length: 28 }, () => cleanPicture(sent)));
  expect(told.map(({ status }) => status)).toEqual([...Array(26).fill("fulfilled"), "rejected", "rejected"]);
  expect(told.at(-1)).toMatchObject({ reason: { code: "not-ready", status: 503 } });
});

describe("is refused with its reason, and nothing is stored", () => {
  const cases: Record<string, () => Promise<Buffer> | Buffer> = {
    "nothing at all": () => Buffer.of(),
    "text that says it is a picture": () => Buffer.from("this is no picture"),
    "a drawing of lines": () => Buffer.from('<svg xmlns="http://www.w3.org/2000/svg"/>'),
    "a page with a picture's first bytes": () => Buffer.concat([Buffer.from([0xff, 0xd8, 0xff]), Buffer.from("<script>alert(1)</script>")]),
    "another kind of picture": () => halves(8, 8).toFormat("gif").toBuffer(),
    "a JPEG that was cut off": async () => (await plainPicture("jpeg", 400, 300)).subarray(0, 900),
    "a PNG that was cut off": async () => (await plainPicture("png")).subarray(0, -20),
    "a PNG with an archive behind it": async () => Buffer.concat([await plainPicture("png"), Buffer.from("PK\u0003\u0004")]),
    "a WebP with something behind it": async () => Buffer.concat([await plainPicture("webp"), Buffer.from("more")]),
    "a PNG that moves": async () => {
      const still = await plainPicture("png");
      return Buffer.concat([still.subarray(0, 33), pngChunk("acTL", Buffer.alloc(8)), still.subarray(33)]);
    },
    "a WebP that moves": () => webpOf(["VP8X", Buffer.alloc(10)], ["ANIM", Buffer.alloc(6)]),
    "a small file of very many pixels": () =>
      sharp({ create: { width: 9000, height: 9000, channels: 3, background: "#000" } })
        .png({ compressionLevel: 9 })
        .toBuffer(),
  };
  test.each(Object.keys(cases))("%s", async (name) => {
    const id = randomUUID();
    const bytes = (await cases[name]?.()) ?? Buffer.of();
    const answer = await (await as("R001")).post("/v1/photos").query({ id }).set("content-type", "image/jpeg").send(bytes);
    expect([answer.status, ["photo-refused", "not-valid"].includes(answer.body.code)], answer.text).toEqual([422, true]);
    expect((await fetchOf(id)).status).toBe(404);
  });

  test("more than 10 MB, a body of another type, an id that is none", async () => {
    await send(Buffer.alloc(mostPhotoBytes + 1, 0xff), { status: 413, code: "too-large" });
    await send(await plainPicture("jpeg"), { type: "application/octet-stream", status: 415, code: "wrong-media-type" });
    await send(await plainPicture("jpeg"), { id: "x", status: 422, code: "not-valid" });
  });
});

describe("sent again", () => {
  test("it answers the same; other bytes, another person or a record's id are refused; two at once are one", async () => {
    const id = randomUUID();
    const bytes = await plainPicture("jpeg");
    const first = await send(bytes, { id });
    expect(await send(bytes, { id, status: 200 })).toEqual(first);
    await send(await plainPicture("png"), { id, type: "image/png", status: 422, code: "id-reused" });
    await send(bytes, { id, who: "R002", status: 422, code: "id-reused" });
    const { defect } = await report([]);
    await send(bytes, { id: defect.id, status: 422, code: "id-reused" });
    const twice = randomUUID();
    const answers = await Promise.all(
      [1, 2].map(async () => (await as("R001")).post("/v1/photos").query({ id: twice }).set("content-type", "image/jpeg").send(bytes)),
    );
    expect(answers.map(({ status }) => status).sort((a, b) => a - b)).toEqual([200, 201]);
  });
});

describe("on its record", () => {
  test("the entry carries the hash of a photo that was there, so that the entry's own hash covers it", async () => {
    const photo = await send(await plainPicture("jpeg", 80, 60));
    const { defect, flags } = await report([photo.id]);
    expect(flags).toEqual([]);
    const shown = await expectAnswer((await as("M001")).get(`/v1/defects/${defect.id}`), 200);
    expect(shown.photos).toMatchObject([{ id: photo.id, sha256: photo.sha256, href: `/v1/photos/${photo.id}` }]);
    const named = (await entriesOf("defect-sighted")).concat(await entriesOf("defect-raised")).flatMap(({ data }) => data.photos ?? []);
    expect(named).toContainEqual({ id: photo.id, sha256: photo.sha256 });
  });

  test("a photo that comes later is awaited, and gets an entry of its own on the machine's chain", async () => {
    const own = await addTestMachine(app);
    const id = randomUUID();
    const check = checkFinding(app, own, "stop-lamp.out");
    const answers = check.answers.map((answer) => (answer.result === "defect" ? { ...answer, photoIds: [id] } : answer));
    const got = await expectAnswer((await as("R001")).post("/v1/daily-checks").send({ ...check, answers }), 201);
    expect(got.check.flags).toContain("photo-awaited");
    const defectId = got.check.defectIds[0];
    const before = await expectAnswer((await as("M001")).get(`/v1/defects/${defectId}`), 200);
    expect([before.photos, before.photosAwaited]).toEqual([[], [id]]);
    const photo = await send(await plainPicture("webp"), { id, type: "image/webp" });
    await send(await plainPicture("webp"), { id, type: "image/webp", status: 200 });
    const after = await expectAnswer((await as("M001")).get(`/v1/defects/${defectId}`), 200);
    expect([after.photos[0].sha256, after.photosAwaited]).toEqual([photo.sha256, []]);
    expect((await entriesOf("photo-added", own)).map(({ data }) => data.photos)).toEqual([[{ id, sha256: photo.sha256 }]]);
    expect((await rebuildState(app.context.db, own))?.differences).toEqual([]);
  });

  test("a photo of somebody else's is not hung by naming it", async () => {
    const others = await send(await plainPicture("png"), { who: "R002", type: "image/png" });
    const { flags, defect } = await report([others.id]);
    expect(flags).toEqual(["photo-awaited"]);
    expect(
      (await expectAnswer((await as("M001")).get(`/v1/defects/${defect.id}`), 200)).photos.map(({ id }: { id: string }) => id),
    ).not.toContain(others.id);
  });
});

describe("who sees it", () => {
  test("before it hangs on a record, only who sent it; then those who see the record", async () => {
    const { id } = await send(await plainPicture("jpeg"));
    const seen = async () =>
      Promise.all(["R001", "R002", "M001", "F001", "A001", "F101", "R101"].map(async (who) => (await fetchOf(id, who)).status));
    expect(await seen()).toEqual([200, 404, 404, 404, 404, 404, 404]);
    await report([id]);
    expect(await seen()).toEqual([200, 200, 200, 200, 200, 403, 403]);
    expect((await app.anyone.get(`/v1/photos/${id}`)).status).toBe(401);
    await send(await plainPicture("jpeg"), { who: "A001", status: 403, code: "not-your-role" });
  });

  test("one of an inspection is not for riders", async () => {
    const { id } = await send(await plainPicture("jpeg"), { who: "M001" });
    const body = inspectionOf(app, machineId);
    const answers = body.answers.map((answer, index) => (index === 0 ? { ...answer, photoIds: [id] } : answer));
    await expectAnswer((await as("M001")).post("/v1/weekly-inspections").send({ ...body, answers }), 201);
    expect((await fetchOf(id, "R002")).status).toBe(404);
    expect((await fetchOf(id, "F001")).status).toBe(200);
  });
});

describe("the shelf", () => {
  const fileOf = (sha256: string) => join(app.context.config.dataFolder, "photos", sha256.slice(0, 2), sha256.slice(2));

  test("bytes that were changed or are gone are noticed and not shown", async () => {
    const photo = await send(await halves(30, 20).jpeg({ quality: 61 }).toBuffer());
    await writeFile(fileOf(photo.sha256), await plainPicture("png"));
    await expectAnswer((await as("R001")).get(`/v1/photos/${photo.id}`), 500, "photo-altered");
    await rm(fileOf(photo.sha256));
    await expectAnswer((await as("R001")).get(`/v1/photos/${photo.id}`), 410, "photo-gone");
  });

  test("a disk that is full is said, and leaves nothing behind", async () => {
    const folder = join(app.context.config.dataFolder, "full");
    const full = photoFolderStore(folder, (async () => {
      throw Object.assign(new Error("no space left on device"), { code: "ENOSPC" });
    }) as never);
    const actor = { staffId: app.cast.staffId("R001"), role: "rider", depotIds: null, competences: [] } as never;
    const sent = await halves(31, 21).jpeg().toBuffer();
    await expect(addPhoto(app.context, actor, { id: randomUUID(), sent }, full)).rejects.toMatchObject({
      code: "photo-shelf-full",
      status: 507,
    });
    const left = await readdir(folder, { recursive: true, withFileTypes: true });
    expect(left.filter((entry) => entry.isFile())).toEqual([]);
  });
});
