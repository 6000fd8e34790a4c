// A pack's progress as server-sent events: one at once, one at each change, the last when it ended.
import type { Readable } from "node:stream";
import type { AuditPack } from "../../shared/contracts/audit.ts";
import type { AppContext } from "../acts/index.ts";
import { eventsFor } from "../people/index.ts";
import { type Actor, quietMs, Signal } from "../platform/index.ts";
import { packInView } from "./show-pack.ts";
import { subscribeToPacks } from "./work-off.ts";

/** The events of a pack. */
export const watchPack = (context: AppContext, actor: Actor, pack: AuditPack): Readable =>
  eventsFor(context, actor, (stop) => events(context, actor, pack, stop));

async function* events(context: AppContext, actor: Actor, { id }: AuditPack, stop: AbortSignal): AsyncGenerator<string> {
  const signal = new Signal();
  const unsubscribe = await subscribeToPacks(context, (heard) => {
    if (heard === id) signal.raise();
  });
  try {
    let told = "";
    while (!stop.aborted) {
      // Read once after listening began: a change before that was not heard.
      const pack = await packInView(context, actor, id);
      const data = JSON.stringify(pack);
      yield data === told ? ": still at it\n\n" : `event: ${pack.state}\ndata: ${data}\n\n`;
      told = data;
      if (pack.state === "ready" || pack.state === "failed") return;
      await signal.wait(quietMs, stop);
    }
  } finally {
    await unsubscribe();
  }
}
