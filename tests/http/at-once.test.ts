// More at once than can be done soon: whoever comes after that is told to come again, before anything of theirs is held in memory.
import { randomUUID } from "node:crypto";
import { type ClientRequest, request } from "node:http";
import type { AddressInfo } from "node:net";
import type { Response } from "supertest";
import { expect, test } from "vitest";
import { expectAnswer } from "../support/acts.ts";
import { plainPicture } from "../support/pictures.ts";
import { testService } from "../support/test-service.ts";

const { app, as } = testService();

/** Begins to send something and does not go on. */
function begin(token: string, path: string, contentType: string): ClientRequest {
  const { port } = app.app.server.address() as AddressInfo;
  const headers = { authorization: `Bearer ${token}`, "content-type": contentType, "content-length": 1000 };
  const call = request({ port, host: "127.0.0.1", method: "POST", path, headers, agent: false });
  call.on("error", () => undefined);
  call.write("x");
  return call;
}

const photoAsked = async (): Promise<Response> =>
  (await as("R001"))
    .post("/v1/photos")
    .query({ id: randomUUID() })
    .set("content-type", "image/png")
    .send(await plainPicture("png"));
const importAsked = async (): Promise<Response> =>
  (await as("F001"))
    .post("/v1/machines/import")
    .set("content-type", "text/csv")
    .send("registrationMark,model,depot,odometerKm,inServiceFrom\n");

interface Sort {
  readonly most: number;
  readonly path: () => string;
  readonly contentType: string;
  readonly who: string;
  readonly asked: () => Promise<Response>;
  readonly status: number;
}
const photos = { most: 24, path: (): string => `/v1/photos?id=${randomUUID()}`, contentType: "image/png", who: "R001", asked: photoAsked };
const imports = { most: 4, path: (): string => "/v1/machines/import", contentType: "text/csv", who: "F001", asked: importAsked };
const sorts: readonly (readonly [string, Sort])[] = [
  ["photos", { ...photos, status: 201 }],
  ["files of machines", { ...imports, status: 422 }],
];

test.each(sorts)("%s: so many and no more are taken at once, other calls go on, and there is room once they are gone", async (_, sort) => {
  const { most, path, contentType, who, asked, status } = sort;
  const { accessToken } = await app.tokensOf(who);
  expect((await asked()).status).toBe(status);
  const begun = Array.from({ length: most }, () => begin(accessToken, path(), contentType));
  try {
    // One that came while the call before them was leaving may have been refused: then there is room for one more.
    const filled = async (): Promise<number> => {
      const { status: now } = await asked();
      if (now !== 503) begun.push(begin(accessToken, path(), contentType));
      return now;
    };
    await expect.poll(filled).toBe(503);
    const refused = await asked();
    expect(refused.body.code).toBe("not-ready");
    expect(Number(refused.headers["retry-after"])).toBeGreaterThan(0);
    await expectAnswer((await as("R001")).get("/v1/me"), 200);
  } finally {
    // A service that closes waits for what was begun.
    for (const call of begun) call.destroy();
  }
  await expect.poll(async () => (await asked()).status).toBe(status);
});
