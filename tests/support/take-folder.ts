// A process of its own that takes data folders, and says what came of it.
import { lockFolder } from "../../src/platform/database/folder-lock.ts";

const held = new Map<string, () => Promise<void>>();

async function carryOut({ take, release }: { take?: string; release?: string }): Promise<string> {
  if (take !== undefined) held.set(take, await lockFolder(take));
  if (release !== undefined) await held.get(release)?.();
  return take === undefined ? "released" : "taken";
}

process.on("message", (order: { take?: string; release?: string }) => {
  carryOut(order).then(
    (came) => process.send?.(came),
    (error: Error) => process.send?.(error.message),
  );
});
process.send?.("ready");
