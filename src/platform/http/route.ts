// What a route is. Its row in the table of its room says method and address, who may, and whose depot; its part under the same name says what
// goes in and out, and has one thin handler. A row without its part does not compile, nor a part whose handler answers something else than
// its contract.
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

/** What any other handler is given: somebody calls, and the door has asked whose depot it is. */
export interface Call<P = unknown, Q = unknown, B = unknown, C extends ServiceContext = ServiceContext, Found = unknown>
  extends OpenCall<P, Q, B, C> {
  readonly actor: Actor;
  /** what the door read of what the call is about */
  readonly found: Found;
}

type FoundBy<W> = W extends Whose<never, infer Found> ? Found : unknown;

type Method = "GET" | "POST" | "PUT" | "PATCH";

/** Method and address, with `:id` for what it is about; who may call it; whose depot that is. */
export type Row<C extends ServiceContext = never> = readonly [call: `${Method} /${string}`, who: Who, whose: Whose<C>];

/** The routes of a room by the names of their operations. */
export type RouteTable<C extends ServiceContext = never> = Readonly<Record<string, Row<C>>>;

/** The table of a room: what its parts and the door are held to. */
export const tableOf = <const T extends RouteTable>(rows: T): T => rows;

/** `C` is what its handler is given of the service: everything, or the part that its room knows. */
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
    call: "anyone" extends R[1]
      ? OpenCall<z.infer<P>, z.infer<Q>, z.infer<B>, C>
      : Call<z.infer<P>, z.infer<Q>, z.infer<B>, C, FoundBy<R[2]>>,
  ) => Given<A>;
}

/** A route, put together. With nothing said of what its handler is given, it is one of them all, to be read and not to be called. */
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

/** Makes what the rooms put their routes together with that are given the same of the service. */
export const routesWith = <C extends ServiceContext>() => ({
  /** What stands beside a row of the table. */
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
      // Here alone it is forgotten what comes in and goes out: the contracts see to that where it is called.
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
