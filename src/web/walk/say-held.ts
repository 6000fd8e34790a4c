import type { Held } from "../field/outbox.ts";
import { say } from "../frame/words.ts";

/** Why a piece still waits although there is a signal. */
export const sayHeld = ({ status, code }: Held): string =>
  say(code === "gateway" ? "walk.held.gateway" : status === 500 || status === 0 ? "walk.held.fault" : "walk.held.busy", { status });
