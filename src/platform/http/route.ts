// What a route is. Its row in its room's table says method and address, who may call it, and whose depot it is about; its part, under the same
// name, has the schemas of what goes in and out and one thin handler. A row without a part does not compile, nor does a handler whose answer does
// not fit its contract.
import type { FastifyReply, FastifyRequest } from "fastify";
import type { z } from "zod";
import type { Arrival, Salvaged } from "../../../shared/rules/salvage.ts";
import type { Actor } from "../actor.ts";
import type { ServiceContext } from "../context.ts";
import type { Heavy } from "./calls-at-once.ts";
import type { TakenAnyway } from "./taken-anyway.ts";
import type { Who } from "./who.ts";
import type { Whose } from "./whose.ts";

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

/** An answer that was made as text already: JSON from a thread, or a page or a file for those who prefer one. It goes out as it stands. */
export class MadeAsText {
  readonly mediaType: "application/json; charset=utf-8" | "text/html; charset=utf-8" | "text/csv; charset=utf-8; header=present";
  readonly text: string;

  constructor(mediaType: MadeAsText["mediaType"], text: string) {
    this.mediaType = mediaType;
    this.text = text;
  }
}

/** What a route answers, by status. */
export type Answers = Readonly<Record<number, z.ZodType | MediaAnswer>>;

/** An answer may be deeply read-only, since it is only written out. */
type ToRead<T> = unknown extends T ? T : T extends object ? { readonly [K in keyof T]: ToRead<T[K]> } : T;

/** The answer by its contract; `never` if the route sends something other than JSON. */
export type AnswerOf<A extends Answers> = A[keyof A] extends infer One ? (One extends z.ZodType ? z.output<One> : never) : never;

type GivenBy<A extends Answers> =
  | MadeAsText
  | (A[keyof A] extends infer One ? (One extends z.ZodType ? ToRead<z.input<One>> : never) : never);

/** What a handler returns: what its contract accepts. A handler that sends something other than JSON is not checked. */
type Given<A extends Answers> = Extract<A[keyof A], MediaAnswer> extends never ? GivenBy<A> | Promise<GivenBy<A>> : unknown;

/** What the handler of an open route is given. */
export interface OpenCall<P = unknown, Q = unknown, B = unknown, C extends ServiceContext = ServiceContext> {
  readonly context: C;
  readonly params: P;
  readonly query: Q;
  readonly body: B;
  /** what was changed in the body so that it could be accepted; undefined if it was accepted as sent */
  readonly mended: TakenAnyway | undefined;
  /** the versions that the caller read, as the header If-Match names them */
  readonly ifMatch: string | undefined;
  readonly request: FastifyRequest;
  readonly reply: FastifyReply;
}

/** What any other handler is given: somebody calls, and the door has asked whose depot it is. */
export interface Call<P = unknown, Q = unknown, B = unknown, C extends ServiceContext = ServiceContext, Found = unknown>
  extends OpenCall<P, Q, B, C> {
  readonly actor: Actor;
  /** the object that the call is about, as it was read for the check of the depot */
  readonly found: Found;
}

type FoundBy<W> = W extends Whose<never, infer Found> ? Found : unknown;

type Method = "GET" | "POST" | "PUT" | "PATCH";

/** Method and address, with `:id` for what it is about; who may call it; whose depot it is about. */
export type Row<C extends ServiceContext = never> = readonly [call: `${Method} /${string}`, who: Who, whose: Whose<C>];

/** The routes of a room by the names of their operations. */
export type RouteTable<C extends ServiceContext = never> = Readonly<Record<string, Row<C>>>;

/** The table of a room's routes. */
export const tableOf = <const T extends RouteTable>(rows: T): T => rows;

/** `C` is the context that its handler gets: the whole one, or the part that its room may know. */
interface Part<
  R extends Row<C>,
  P extends z.ZodType,
  Q extends z.ZodType,
  B extends z.ZodType,
  A extends Answers,
  C extends ServiceContext,
> {
  readonly params?: P;
  readonly query?: Q;
  readonly body?: B;
  readonly answers: A;
  /** somebody signed in with a one-time code may call it before they have chosen a secret of their own */
  readonly withCode?: true;
  readonly summary: string;
  /** the largest body in bytes, where it is not the usual one */
  readonly bodyLimitBytes?: number;
  /** what the body comes as, where it is not JSON */
  readonly bodyMediaTypes?: readonly string[];
  /** changes a body that its contract refuses but that reports a defect, so that it can be accepted all the same */
  readonly salvage?: (raw: unknown, arrival: Arrival) => Salvaged<z.infer<B> & object> | null;
  /** an answer that may be large, for a client on a poor link: compressed where the client takes it */
  readonly compressed?: true;
  /** a GET that leaves a record or stays open: HEAD and a browser's prefetching are refused */
  readonly onlyAsked?: true;
  /** only a limited number of its sort may be under way at once, so that they do not hold up the service */
  readonly heavy?: Heavy;
  /** its statements may take minutes; routes that send a file (a report, records, a pack) need not say so */
  readonly patient?: true;
  /** calls a minute from one address, where it is not the usual number */
  readonly limitPerMinute?: (context: C) => number;
  /** the address of what a 201 made, from the answer; it goes out as `Location` */
  readonly location?: (answer: AnswerOf<A>) => string;
  /** the part of the answer that can be changed at this address; the `ETag` is made from it, and `If-Match` compares it */
  readonly tagged?: (answer: AnswerOf<A>) => unknown;
  /** it creates something and its body has no id, so it takes an `Idempotency-Key`; returns what of the answer is kept for a repetition */
  readonly keyed?: (answer: AnswerOf<A>) => unknown;
  readonly handler: (
    call: "anyone" extends R[1]
      ? OpenCall<z.infer<P>, z.infer<Q>, z.infer<B>, C>
      : Call<z.infer<P>, z.infer<Q>, z.infer<B>, C, FoundBy<R[2]>>,
  ) => Given<A>;
}

/** A route with its row and its part. Without a type argument it stands for any route, to be read and not to be called. */
export interface Route<C extends ServiceContext = never>
  extends Omit<Part<Row<C>, z.ZodType, z.ZodType, z.ZodType, Answers, C>, "handler" | "location" | "tagged" | "keyed"> {
  readonly room: string;
  readonly operationId: string;
  readonly method: Method;
  readonly path: string;
  readonly who: Who;
  readonly whose: Whose<C>;
  readonly location?: (answer: unknown) => string;
  readonly tagged?: (answer: unknown) => unknown;
  readonly keyed?: (answer: unknown) => unknown;
  readonly handler: (
    call: OpenCall<unknown, unknown, unknown, C> & { readonly actor: Actor | undefined; readonly found: unknown },
  ) => unknown;
}

/** A part that waits for its row. */
type PartOf<R extends Row<C>, C extends ServiceContext> = (room: string, operationId: string, row: R) => Route<C>;

/** Makes `route` and `routes` for the rooms whose handlers get the context `C`. */
export const routesWith = <C extends ServiceContext>() => ({
  /** The part that belongs to a row of the table. */
  route:
    <
      R extends Row<C>,
      A extends Answers,
      P extends z.ZodType = z.ZodType,
      Q extends z.ZodType = z.ZodType,
      B extends z.ZodType = z.ZodType,
    >(
      part: Part<R, P, Q, B, A, C>,
    ): PartOf<R, C> =>
    (room, operationId, [call, who, whose]) => {
      const [method, path] = call.split(" ");
      // The only place that drops the types of input and answer: at run time the contracts check them.
      return { ...part, room, operationId, method, path, who, whose } as unknown as Route<C>;
    },

  /** The routes of a room: each row with its part, in the order of the table. */
  routes: <T extends RouteTable<C>>(room: string, table: T, parts: { readonly [O in keyof T]: PartOf<T[O], C> }): readonly Route<C>[] => {
    const all: Route<C>[] = [];
    for (const operationId in table) all.push(parts[operationId](room, operationId, table[operationId]));
    return all;
  },
});

/** Answers an act from the field: 201 the first time, 200 with the same receipt every time after. */
export function answerReceipt<Receipt>(
  { reply }: Pick<OpenCall, "reply">,
  { receipt, repeated }: { receipt: Receipt; repeated: boolean },
): Receipt {
  reply.code(repeated ? 200 : 201);
  return receipt;
}
