// Whose depot a call is about, as its row says it.

/** Whose depot, by the name that the printed table says it with. */
export interface Whose {
  readonly name: string;
  /** it takes somebody of all depots, which is asked before the body is read */
  readonly wholeFirm?: true;
}

/** It is about nothing that anybody keeps. */
export const none: Whose = { name: "none" };
/** It is the same for every depot, and everybody who may call it may see it. */
export const shared: Whose = { name: "shared" };
/** It concerns every depot, so it takes somebody of all depots. */
export const firm: Whose = { name: "firm", wholeFirm: true };
/** It is about the person who calls. */
export const own: Whose = { name: "own" };
/** The depot that `depotId` asks about, else all that the caller has. */
export const inView: Whose = { name: "in view" };
/** The depot that the body names. */
export const named: Whose = { name: "named" };
/** Decided within the act, on what it holds: there a repetition gets its receipt before anything else is asked. */
export const act: Whose = { name: "act" };
/** The depot of what `:id` stands for. */
export const depot: Whose = { name: "depot" };
export const machine: Whose = { name: "machine" };
export const defect: Whose = { name: "defect" };
export const check: Whose = { name: "check" };
export const inspection: Whose = { name: "inspection" };
export const draft: Whose = { name: "draft" };
export const record: Whose = { name: "record" };
export const photo: Whose = { name: "photo" };
export const pack: Whose = { name: "pack" };
export const person: Whose = { name: "person" };
