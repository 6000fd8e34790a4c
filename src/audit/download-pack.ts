import { Readable } from "node:stream";
import type { AuditPack } from "../../shared/contracts/audit.ts";
import type { AppContext } from "../acts/index.ts";
import { type Call, partAsked } from "../platform/index.ts";
import { auditErrors } from "./errors.ts";
import { openPack, type PackFile, packDays } from "./pack-files.ts";

/** The finished ZIP on the disk. Throws `pack-not-ready`, `pack-gone`. */
async function finishedPack(context: AppContext, pack: AuditPack): Promise<{ file: PackFile; endedAt: string }> {
  if (pack.state === "failed") throw auditErrors.problem("pack-not-ready", `It failed: ${pack.failure} Order it again.`);
  if (pack.state !== "ready" || pack.bytes === null || pack.endedAt === null) {
    throw auditErrors.problem(
      "pack-not-ready",
      `It is ${Math.round(pack.progress * 100)} % done. Watch its events, or ask again in a moment.`,
    );
  }
  const file = await openPack(context, pack.id, pack.bytes);
  if (!file) throw auditErrors.problem("pack-gone", `It was made on another machine, or more than ${packDays} days ago. Order it again.`);
  return { file, endedAt: pack.endedAt };
}

/**
 * Sends the ZIP, or the part of it that is asked for: a download that broke off goes on where it ended. Its entity tag is its SHA-256, so
 * that parts of two different files are never joined. Throws what `finishedPack` throws, `pack-is-another`, `pack-is-shorter`.
 */
export async function downloadPack(
  { context, request, reply }: Pick<Call<unknown, unknown, unknown, AppContext>, "context" | "request" | "reply">,
  pack: AuditPack,
) {
  const { file, endedAt } = await finishedPack(context, pack);
  const { bytes } = file;
  const stored = { etag: `"${pack.sha256}"`, modifiedAt: new Date(endedAt), bytes };
  const asked = partAsked(request.method, request.headers, stored);
  reply
    .header("accept-ranges", "bytes")
    .header("etag", stored.etag)
    .header("last-modified", stored.modifiedAt.toUTCString())
    // No shared cache keeps it, and a browser asks again before it uses its copy.
    .header("cache-control", "private, no-cache");
  if (asked.status === 206 && request.method !== "HEAD") {
    const { from, to } = asked;
    reply.header("content-range", `bytes ${from}-${to}/${bytes}`).header("content-length", to - from + 1);
    return named(reply, pack)
      .code(206)
      .send(file.read({ start: from, end: to }));
  }
  if (asked.status === 200) {
    named(reply, pack).header("content-length", bytes);
    if (request.method !== "HEAD") return reply.send(file.read());
    await file.close();
    // An empty stream keeps the header with the file's length: Fastify does not count a stream.
    return reply.send(Readable.from([]));
  }
  await file.close();
  if (asked.status === 304) return reply.code(304).send();
  if (asked.status === 412)
    throw auditErrors.problem("pack-is-another", "The file of this pack has changed since you downloaded a part of it.");
  reply.header("content-range", `bytes */${bytes}`);
  throw auditErrors.problem("pack-is-shorter", `The pack has ${bytes} bytes; the range you ask for begins after its end.`);
}

const named = (reply: Call["reply"], { id, month }: AuditPack) =>
  reply.type("application/zip").header("content-disposition", `attachment; filename="records-${month}-${id.slice(-6)}.zip"`);
