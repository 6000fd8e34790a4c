// A pack's progress as server-sent events (WHATWG HTML, 'Server-sent events'): one at once, one at each change, the last when it ended.
import { Readable } from "node:stream";
import type { AuditPack } from "../../shared/contracts/audit.ts";
import type { Actor, House } from "../platform/index.ts";
import { showPack } from "./show-pack.ts";
import { hearPacks } from "./work-off.ts";

// A line that says nothing keeps proxies from taking the silence for an end.
const quietMs = 15_000;

const open = new Set<AbortController>();

/** Ends all that is being watched, so that a service that closes waits for nobody's page. */
export function endWatching(): void {
  for (const watching of open) watching.abort();
}

/** The events of a pack. Throws what `showPack` throws, before the first of them. */
export async function watchPack(house: House, actor: Actor, id: string): Promise<Readable> {
  const first = await showPack(house, actor, id);
  const watching = new AbortController();
  const stream = Readable.from(events(house, actor, first, watching.signal), { objectMode: false, encoding: "utf8" });
  open.add(watching);
  stream.once("close", () => {
    open.delete(watching);
    watching.abort();
  });
  return stream;
}

async function* events(house: House, actor: Actor, first: AuditPack, stop: AbortSignal): AsyncGenerator<string> {
  let wake = (): void => undefined;
  let changed = false;
  const deaf = await hearPacks(house, (id) => {
    if (id !== first.id) return;
    changed = true;
    wake();
  });
  const stopped = (): void => wake();
  stop.addEventListener("abort", stopped);
  try {
    let told = "";
    // Read once more after listening began: what changed in between was told to nobody.
    for (let pack = await showPack(house, actor, first.id); !stop.aborted; pack = await showPack(house, actor, first.id)) {
      changed = false;
      const data = JSON.stringify(pack);
      yield data === told ? ": still at it\n\n" : `event: ${pack.state}\ndata: ${data}\n\n`;
      told = data;
      if (pack.state === "ready" || pack.state === "failed") return;
      if (changed || stop.aborted) continue;
      await new Promise<void>((resolve) => {
        const timer = setTimeout(resolve, quietMs);
        wake = () => {
          clearTimeout(timer);
          resolve();
        };
      });
    }
  } finally {
    stop.removeEventListener("abort", stopped);
    await deaf();
  }
}
