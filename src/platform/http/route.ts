// What a route is: address, name, who may call it, what goes in and out, and one thin handler. Rooms list theirs in routes.ts. A route
// without `who` or answers does not compile, nor one whose handler answers something else than its contract.
import type { FastifyReply, FastifyRequest } from "fastify";
import type { z } from "zod";
import type { Role } from "../../../shared/contracts/common.ts";
import type { Arrival, Salvaged } from "../../../shared/rules/salvage.ts";
import type { Actor } from "../actor.ts";
import type { ServiceContext } from "../context.ts";
import type { Heavy } from "./calls-at-once.ts";
import type { TakenAnyway } from "./taken-anyway.ts";

/** `anyone`: no sign-in. `signed-in`: every role. Else the roles that may. */
export type Who = "anyone" | "signed-in" | readonly Role[];

/** An answer that is not JSON; it is sent by the handler itself. */
export interface MediaAnswer {
  readonly mediaType:
    | "application/pdf"
    | "text/plain"
    | "text/csv"
    | "application/x-ndjson"
    | "application/zip"
    | "text/event-stream"
    | "application/jwk-set+json"
    | "image/*";
  readonly description: string;
}

/** An answer that was made as text already: JSON from a thread, or a page for those who prefer one. It goes out as it stands. */
export class MadeAsText {
  readonly mediaType: "application/json; charset=utf-8" | "text/html; charset=utf-8";
  readonly text: string;

  constructor(mediaType: MadeAsText["mediaType"], text: string) {
    this.mediaType = mediaType;
    this.text = text;
  }
}

/** What a route answers, by status. */
export type Answers = Readonly<Record<number, z.ZodType | MediaAnswer>>;

/** What a contract takes may be read-only all the way down: it is written out and not changed. */
type ToRead<T> = unknown extends T ? T : T extends object ? { readonly [K in keyof T]: ToRead<T[K]> } : T;

/** The answer by its contract; nothing where something else than JSON goes out. */
export type AnswerOf<A extends Answers> = A[keyof A] extends infer One ? (One extends z.ZodType ? z.output<One> : never) : never;

type GivenBy<A extends Answers> =
  | MadeAsText
  | (A[keyof A] extends infer One ? (One extends z.ZodType ? ToRead<z.input<One>> : never) : never);

/** What a handler gives back: what its contract takes. Who sends something else than JSON answers for it alone. */
type Given<A extends Answers> = Extract<A[keyof A], MediaAnswer> extends never ? GivenBy<A> | Promise<GivenBy<A>> : unknown;

/** What the handler of an open route is given. */
export interface OpenCall<P = unknown, Q = unknown, B = unknown, C extends ServiceContext = ServiceContext> {
  readonly context: C;
  readonly params: P;
  readonly query: Q;
  readonly body: B;
  /** what was mended in the body so that it could be taken; undefined where it was taken as sent */
  readonly mended: TakenAnyway | undefined;
  /** the versions that the caller read, as the header If-Match names them */
  readonly ifMatch: string | undefined;
  readonly request: FastifyRequest;
  readonly reply: FastifyReply;
}

/** What any other handler is given: somebody calls. */
export interface Call<P = unknown, Q = unknown, B = unknown, C extends ServiceContext = ServiceContext> extends OpenCall<P, Q, B, C> {
  readonly actor: Actor;
}

interface Shapes<P extends z.ZodType, Q extends z.ZodType, B extends z.ZodType, A extends Answers> {
  readonly params?: P;
  readonly query?: Q;
  readonly body?: B;
  readonly answers: A;
}

/** `C` is what its handler is given of the service: everything, or the part that its room knows. */
export interface RouteDefinition<
  P extends z.ZodType,
  Q extends z.ZodType,
  B extends z.ZodType,
  A extends Answers,
  W extends Who,
  C extends ServiceContext,
> extends Shapes<P, Q, B, A> {
  readonly method: "GET" | "POST" | "PUT" | "PATCH";
  /** with `:id` for parameters */
  readonly path: string;
  readonly operationId: string;
  readonly who: W;
  /** it changes what holds at every depot, so it takes somebody of all depots */
  readonly wholeFirm?: true;
  /** somebody signed in with a one-time code may call it before they have chosen a secret of their own */
  readonly withCode?: true;
  readonly summary: string;
  readonly room: string;
  /** the largest body in bytes, where it is not the usual one */
  readonly bodyLimitBytes?: number;
  /** what the body comes as, where it is not JSON */
  readonly bodyMediaTypes?: readonly string[];
  /** mends a body that its contract refuses and that tells of a defect, so that it is taken all the same */
  readonly salvage?: (raw: unknown, arrival: Arrival) => Salvaged<z.infer<B> & object> | null;
  /** an answer that may be large, for a client on a poor link: compressed where the client takes it */
  readonly compressed?: true;
  /** a GET that leaves a record or stays open: it takes no HEAD, and a browser does not fetch it before somebody asks for it */
  readonly onlyAsked?: true;
  /** so few of its sort are under way at once that they don't hold up the service */
  readonly heavy?: Heavy;
  /** its statements may take minutes; those of a file (a paper, records, a pack) may without saying so */
  readonly patient?: true;
  /** calls a minute from one address, where it is not the usual number */
  readonly limitPerMinute?: (context: C) => number;
  /** the address of what a 201 made, from the answer; it goes out as `Location` */
  readonly location?: (answer: AnswerOf<A>) => string;
  /** what of the answer can be changed at this address; its `ETag` is made of that, and `If-Match` takes it */
  readonly tagged?: (answer: AnswerOf<A>) => unknown;
  /** it makes something and its body has no id of its own: it takes an `Idempotency-Key`; what is kept of its answer for a repetition */
  readonly keyed?: (answer: AnswerOf<A>) => unknown;
  readonly handler: (
    call: W extends "anyone" ? OpenCall<z.infer<P>, z.infer<Q>, z.infer<B>, C> : Call<z.infer<P>, z.infer<Q>, z.infer<B>, C>,
  ) => Given<A>;
}

/** With nothing said of what its handler is given, it is one of them all, to be read and not to be called. */
export interface Route<C extends ServiceContext = never>
  extends Omit<RouteDefinition<z.ZodType, z.ZodType, z.ZodType, Answers, Who, C>, "handler" | "location" | "tagged" | "keyed"> {
  readonly location?: (answer: unknown) => string;
  readonly tagged?: (answer: unknown) => unknown;
  readonly keyed?: (answer: unknown) => unknown;
  readonly handler: (call: OpenCall<unknown, unknown, unknown, C> & { readonly actor: Actor | undefined }) => unknown;
}

/** Makes the function that makes a row of a route table, for the rooms that are given the same of the service. */
export const routeWith =
  <C extends ServiceContext>() =>
  <
    A extends Answers,
    const W extends Who,
    P extends z.ZodType = z.ZodType,
    Q extends z.ZodType = z.ZodType,
    B extends z.ZodType = z.ZodType,
  >(
    definition: RouteDefinition<P, Q, B, A, W, C>,
  ): Route<C> =>
    // Here alone it is forgotten what comes in and goes out: the contracts beside it see to that where it is called.
    definition as unknown as Route<C>;

/** Answers an act from the field: 201 the first time, 200 with the same receipt every time after. */
export function answerReceipt<Receipt>(
  { reply }: Pick<OpenCall, "reply">,
  { receipt, repeated }: { receipt: Receipt; repeated: boolean },
): Receipt {
  reply.code(repeated ? 200 : 201);
  return receipt;
}
