import type { MachineModel } from "../../shared/contracts/fleet.ts";
import type { AppContext } from "../acts/index.ts";
import { platformErrors } from "../platform/index.ts";
import { findModel } from "./store.ts";

/** One model with its handbook figures. Throws `not-found`. */
export async function showModel(context: AppContext, id: string): Promise<MachineModel> {
  const model = await findModel(context.db, id);
  if (!model) throw noModel();
  return model;
}

export const noModel = () => platformErrors.problem("not-found", "There is no model with this id.");
