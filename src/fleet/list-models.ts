import type { MachineModel } from "../../shared/contracts/fleet.ts";
import type { AppContext } from "../acts/index.ts";
import { cursorFrom, pageFrom } from "../platform/index.ts";
import { modelsAfter } from "./store.ts";

/** All models by name. */
export async function listModels(context: AppContext, { limit, cursor }: { limit: number; cursor?: string | undefined }) {
  const rows = await modelsAfter(context.db, cursorFrom(cursor)?.[0] ?? null, limit + 1);
  return pageFrom(
    rows,
    limit,
    (model) => [model.name],
    (model): MachineModel => model,
  );
}
