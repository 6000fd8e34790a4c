// Serves the files of the pages, which the set-up builds. The browser's code is beside this file and imports only shared/.
import { existsSync } from "node:fs";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import files from "@fastify/static";
import type { FastifyInstance } from "fastify";

const built = fileURLToPath(new URL("built", import.meta.url));

// A name with a hash of its content never means anything else.
const forEver = "public, max-age=31536000, immutable";
const askEachTime = "no-cache";

const single = {
  "/": "page.html",
  "/worker.js": "worker.js",
  "/icon.svg": "icon.svg",
  "/app.webmanifest": "app.webmanifest",
} as const;

/** Registers the routes of the pages' files. Throws where the files have not been made. */
export async function registerPages(app: FastifyInstance): Promise<void> {
  if (!existsSync(join(built, "page.html"))) throw new Error("The pages are not made yet. Run 'npm run set-up' first.");
  await app.register(files, {
    root: built,
    serve: false,
    preCompressed: true,
    cacheControl: false,
  });
  const send = (address: string, file: (name: string) => string, cacheControl: string) =>
    app.route<{ Params: { name?: string } }>({
      method: "GET",
      url: address,
      schema: { hide: true },
      config: { operationId: "page" },
      handler: (request, reply) => reply.header("cache-control", cacheControl).sendFile(file(request.params.name ?? "")),
    });
  for (const [address, file] of Object.entries(single)) send(address, () => file, askEachTime);
  // Only names of the form that the build makes.
  send("/pages/:name(^[\\w-]+\\.(?:js|css)$)", (name) => join("pages", name), forEver);
}
