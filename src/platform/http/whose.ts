// Whose depot a call is about, as its row says. This is checked once the call has been validated: 404 for what does not exist, 403 for what does
// not belong to the caller's depots. What was read for that is passed to the handler as `found`, so that it is read only once.
import { z } from "zod";
import { type Actor, mustSeeDepot, type View, viewOf } from "../actor.ts";
import type { ServiceContext } from "../context.ts";
import { platformErrors } from "../errors.ts";

const inBodySchema = z.object({
  depotId: z.string().optional(),
  machineId: z.string().optional(),
  allDepots: z.boolean().optional(),
  depotIds: z.array(z.string()).optional(),
});

/** The parts of a call that may say what it is about; the contract has validated them before. */
const askedSchema = z.object({
  id: z.string().optional(),
  depotId: z.string().optional(),
  machineId: z.string().optional(),
  at: z.string().optional(),
  // Apart from the others: what a body says never stands for what the address names.
  inBody: inBodySchema.optional().catch(undefined),
});
export type Asked = z.infer<typeof askedSchema>;

/** What a call is about, from its address, its query and its body. */
export const askedBy = ({ params, query, body }: { readonly params: unknown; readonly query: unknown; readonly body: unknown }): Asked =>
  askedSchema.parse(Object.assign({}, query, params, { inBody: body }));

/** Whose depot a call is about: its name in the printed table, and the check made before the handler. */
export interface Whose<C extends ServiceContext = never, Found = unknown> {
  readonly name: string;
  /** only for somebody who has all depots, which is checked before the body is read */
  readonly wholeFirm?: true;
  readonly ask?: (context: C, actor: Actor, asked: Asked) => Found | Promise<Found>;
}

/** One with a check before the handler. */
export type Asking<C extends ServiceContext, Found> = Whose<C, Found> & Required<Pick<Whose<C, Found>, "ask">>;

/** It is about nothing that is stored. */
export const none: Whose<ServiceContext, undefined> = { name: "none" };
/** It is the same for every depot, and everybody who may call it may see it. */
export const shared: Whose<ServiceContext, undefined> = { name: "shared" };
/** It concerns every depot, so it is only for somebody who has all depots. */
export const firm: Whose<ServiceContext, undefined> = { name: "firm", wholeFirm: true };
/** It is about the person who calls. */
export const own: Whose<ServiceContext, undefined> = { name: "own" };
/** Each row of a file names its own depot; a row of another depot is refused with all else that is wrong in the file. */
export const eachRow: Whose<ServiceContext, undefined> = { name: "each row" };
/** Decided within the act, by the facts that it reads; there a repeated call from the field gets its receipt before anything else is checked. */
export const act: Whose<ServiceContext, undefined> = { name: "act" };

/** The depot in the query's `depotId`, else all of the caller's depots. */
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

/** The depot that the body names. */
export const depotInBody: Asking<ServiceContext, undefined> = {
  name: "depot in body",
  ask: (_context, actor, { inBody }) => {
    mustSeeDepot(actor, mustBeThere(inBody?.depotId, "a row asks for the depot in the body, and its contract has none"));
    return undefined;
  },
};

/** The same for the machine that the body names, as for one in the address. */
export const machineInBody = <C extends ServiceContext, Found>({ name, ask }: Asking<C, Found>): Asking<C, Found> => ({
  name: `${name} in body`,
  ask: (context, actor, { inBody, ...asked }) =>
    ask(context, actor, {
      ...asked,
      inBody,
      id: mustBeThere(inBody?.machineId, "a row asks for the machine in the body, and its contract has none"),
    }),
});

function mustBeThere<T>(given: T | undefined, otherwise: string): T {
  if (given === undefined) throw new Error(otherwise);
  return given;
}

/** The id in the address. */
export const idOf = ({ id }: Asked): string => mustBeThere(id, "a row asks whose depot `:id` is of, and its address has none");

interface Kind<C extends ServiceContext, O> {
  readonly name: string;
  /** the text of the 404 */
  readonly missing: string | ((asked: Asked) => string);
  /** reads it as the handler needs it */
  readonly find: (context: C, id: string, actor: Actor, asked: Asked) => Promise<O | null | undefined>;
  /** null if it belongs to no depot, or is the caller's own at whatever depot */
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
