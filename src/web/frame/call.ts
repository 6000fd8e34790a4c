// How the pages call the service. The session is in cookies; a call whose access token has expired renews it once, one tab at a time, since a
// refresh token that is used twice ends the session.
import type { Problem as ProblemBody } from "../../../shared/contracts/common.ts";
import type { Session } from "../../../shared/contracts/people.ts";
import { isInTheMiddle } from "./keep-files.ts";
import { oneAtATime } from "./one-at-a-time.ts";
import { endSession, mustChooseSecret, signedInPerson } from "./session.ts";

/** The service refused, and says why in words that can be shown. */
export class Problem extends Error {
  readonly status: number;
  readonly code: string;
  readonly issues: readonly { pointer: string; message: string }[];

  constructor(body: Pick<ProblemBody, "status" | "code" | "detail" | "issues">) {
    super(body.detail);
    this.status = body.status;
    this.code = body.code;
    this.issues = body.issues ?? [];
  }
}

/** The call did not reach the service, or its answer did not reach us: it may be sent again. */
export class NoSignal extends Error {
  /** the status that a gateway answered in place of the service; undefined if nobody answered */
  readonly status: number | undefined;

  constructor(message: string, status?: number) {
    super(message);
    this.status = status;
  }
}

type Method = "GET" | "POST" | "PUT" | "PATCH";

export interface Asked {
  readonly method?: Method;
  /** sent as JSON; a Blob as it is */
  readonly body?: unknown;
  readonly signal?: AbortSignal;
  /** the tag of the version that was read: if it is no longer the present one, the service refuses */
  readonly ifMatch?: string;
  /** called by the page itself and not by its user: then nobody in the middle of something is asked to sign in */
  readonly byItself?: boolean;
}

// A mobile link that hangs counts as none, so that the rider does not wait for it.
const longestMs = 20_000;

async function send(path: string, { method = "GET", body, signal, ifMatch }: Asked): Promise<Response> {
  const type = body instanceof Blob ? body.type : "application/json";
  const late = AbortSignal.timeout(body instanceof Blob ? 6 * longestMs : longestMs);
  try {
    return await fetch(path, {
      method,
      credentials: "same-origin",
      signal: signal ? AbortSignal.any([signal, late]) : late,
      ...(body === undefined
        ? {}
        : {
            headers: { "content-type": type, ...(ifMatch && { "if-match": ifMatch }) },
            body: body instanceof Blob ? body : JSON.stringify(body),
          }),
    });
  } catch (error) {
    if (signal?.aborted) throw error;
    throw new NoSignal(String(error));
  }
}

async function problemOf(answer: Response): Promise<Problem> {
  const { status } = answer;
  try {
    return new Problem((await answer.json()) as ProblemBody);
  } catch {
    // This came from a gateway and not from the service, so nothing was decided.
    if (status >= 500) throw new NoSignal(`a gateway answered ${status}`, status);
    return new Problem({ status, code: "unknown", detail: answer.statusText });
  }
}

const renewedKey = "ferrule.renewed";
const renewedAt = (): number => Number(localStorage.getItem(renewedKey) ?? 0);

/** Renews the session, unless that was done since `since`, by another tab or by signing in again. False if nobody is signed in any longer. */
async function renew(since: number): Promise<boolean> {
  return oneAtATime("ferrule renewal", async () => {
    if (renewedAt() > since) return true;
    const answer = await send("/v1/session/renewal", { method: "POST" });
    if (answer.ok) localStorage.setItem(renewedKey, String(Date.now()));
    else if (answer.status !== 401) throw await problemOf(answer);
    // Refused was the session from before, when somebody signed in while the answer was on its way.
    return answer.ok || renewedAt() > since;
  });
}

/** The response of the service. Throws `Problem` if it refused, `NoSignal` if it could not be reached. */
export async function fetchFrom(path: string, asked: Asked = {}): Promise<Response> {
  const before = Date.now();
  let answer = await send(path, asked);
  if (answer.status === 401 && signedInPerson() !== null) {
    if (await renew(before)) answer = await send(path, asked);
    if (answer.status === 401 && !(asked.byItself && isInTheMiddle())) endSession();
  }
  if (answer.ok) return answer;
  const problem = await problemOf(answer);
  if (problem.code === "secret-must-change") mustChooseSecret();
  throw problem;
}

/** Calls the service and reads its answer as JSON. Throws as `fetchFrom`. */
export async function call<Answer>(path: string, asked: Asked = {}): Promise<Answer> {
  const answer = await fetchFrom(path, asked);
  try {
    return (await answer.json()) as Answer;
  } catch (error) {
    throw new NoSignal(String(error));
  }
}

/** Signs in. Throws `Problem` for a wrong number or secret. */
export async function openSession(staffNumber: string, secret: string): Promise<Session> {
  const answer = await send("/v1/session", { method: "POST", body: { staffNumber, secret } });
  if (!answer.ok) throw await problemOf(answer);
  localStorage.setItem(renewedKey, String(Date.now()));
  return (await answer.json()) as Session;
}

interface Page<Item> {
  readonly items: readonly Item[];
  readonly nextCursor: string | null;
}

/** All pages of a list, up to `most` items. `path` may have a query. */
export async function callAll<Item>(path: string, most = 10_000, signal?: AbortSignal): Promise<Item[]> {
  const found: Item[] = [];
  let cursor: string | null = null;
  do {
    const join = path.includes("?") ? "&" : "?";
    const more: string = cursor === null ? "" : `&cursor=${encodeURIComponent(cursor)}`;
    const page: Page<Item> = await call<Page<Item>>(`${path}${join}limit=200${more}`, signal ? { signal } : {});
    found.push(...page.items);
    cursor = page.nextCursor;
  } while (cursor !== null && found.length < most);
  return found;
}
