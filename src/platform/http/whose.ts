// Whose depot a call is about, as its row says it. The door asks it once the form of the call is right: 404 for what there is not, 403 for what
// is beyond the caller's depots. What was read for that goes to the handler as `found`, so that it is read once.
import { z } from "zod";
import { type Actor, mustSeeDepot, type View, viewOf } from "../actor.ts";
import type { ServiceContext } from "../context.ts";
import { platformErrors } from "../errors.ts";

/** What of a call may say what it is about; its contract took it before. */
const askedSchema = z.object({
  id: z.string().optional(),
  depotId: z.string().optional(),
  machineId: z.string().optional(),
  at: z.string().optional(),
});
export type Asked = z.infer<typeof askedSchema>;

/** What a call says of what it is about. */
export const askedBy = ({ params, query }: { readonly params: unknown; readonly query: unknown }): Asked =>
  askedSchema.parse(Object.assign({}, query, params));

/** Whose depot: its name in the printed table, and what the door asks of somebody who is signed in. */
export interface Whose<C extends ServiceContext = never, Found = unknown> {
  readonly name: string;
  /** it takes somebody of all depots, which is asked before the body is read */
  readonly wholeFirm?: true;
  readonly ask?: (context: C, actor: Actor, asked: Asked) => Found | Promise<Found>;
}

/** One that the door asks. */
export type Asking<C extends ServiceContext, Found> = Whose<C, Found> & Required<Pick<Whose<C, Found>, "ask">>;

/** It is about nothing that anybody keeps. */
export const none: Whose<ServiceContext, undefined> = { name: "none" };
/** It is the same for every depot, and everybody who may call it may see it. */
export const shared: Whose<ServiceContext, undefined> = { name: "shared" };
/** It concerns every depot, so it takes somebody of all depots. */
export const firm: Whose<ServiceContext, undefined> = { name: "firm", wholeFirm: true };
/** It is about the person who calls. */
export const own: Whose<ServiceContext, undefined> = { name: "own" };
/** The depot of what the body names: asked where the body is understood. */
export const named: Whose<ServiceContext, undefined> = { name: "named" };
/** Decided within the act, on what it holds; what comes a second time from the field gets its receipt there before anything else is asked. */
export const act: Whose<ServiceContext, undefined> = { name: "act" };

/** The depot that `depotId` asks about, else all that the caller has. */
export const inView: Asking<ServiceContext, View> = {
  name: "in view",
  ask: (_context, actor, { depotId }) => viewOf(actor, depotId),
};

/** The depot that `:id` stands for. */
export const depot: Whose<ServiceContext, undefined> = {
  name: "depot",
  ask: (_context, actor, asked) => {
    mustSeeDepot(actor, idOf(asked));
    return undefined;
  },
};

/** The id in the address. */
export function idOf({ id }: Asked): string {
  if (id === undefined) throw new Error("a row asks whose depot `:id` is of, and its address has none");
  return id;
}

interface Kind<C extends ServiceContext, O> {
  readonly name: string;
  /** what is said where there is none */
  readonly missing: string | ((asked: Asked) => string);
  /** reads it as the handler needs it */
  readonly find: (context: C, id: string, actor: Actor, asked: Asked) => Promise<O | null | undefined>;
  /** null where it is no depot's, or the caller's own wherever it is */
  readonly depotOf: (object: O, actor: Actor) => string | null;
}

/** The depot of the object that `:id` stands for. */
export const objectOf = <C extends ServiceContext, O>({ name, missing, find, depotOf }: Kind<C, O>): Asking<C, O> => ({
  name,
  ask: async (context, actor, asked) => {
    const object = await find(context, idOf(asked), actor, asked);
    if (!object) throw platformErrors.problem("not-found", typeof missing === "string" ? missing : missing(asked));
    const depotId = depotOf(object, actor);
    if (depotId !== null) mustSeeDepot(actor, depotId);
    return object;
  },
});
