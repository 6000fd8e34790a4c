// Errors before there is a request: not HTTP, too many headers, too slow. Node.js would answer with a bare status line, or not at all.
import type { Socket } from "node:net";
import type { ServiceContext } from "../context.ts";
import { type ProblemError, platformErrors } from "../errors.ts";
import { bareHeaders, problemBody } from "./problems.ts";

/** Handler of Node.js's `clientError`: one problem in the catalogue's form, and the connection is closed. */
export const answerMalformed =
  (context: Pick<ServiceContext, "log" | "newId">) =>
  (error: { readonly code?: string }, socket: Socket): void => {
    // Nobody reads an answer on a closed connection, and one that is already being sent must not be followed by another.
    if (error.code === "ECONNRESET" || !socket.writable || answerBegun(socket)) {
      socket.destroy();
      return;
    }
    const requestId = context.newId();
    const problem = problemOf(error.code);
    // The error itself holds what was sent.
    context.log.info({ reqId: requestId, code: problem.code, status: problem.status, error: error.code }, "a call was malformed");
    const body = JSON.stringify(problemBody(problem, requestId));
    const headers = {
      ...bareHeaders(requestId),
      "content-type": "application/problem+json; charset=utf-8",
      "content-length": Buffer.byteLength(body),
      connection: "close",
    };
    const head = Object.entries(headers).map(([name, value]) => `${name}: ${value}\r\n`);
    socket.end(`HTTP/1.1 ${problem.status} ${problem.title}\r\n${head.join("")}\r\n${body}`, () => socket.destroy());
  };

function problemOf(code: string | undefined): ProblemError {
  switch (code) {
    case "HPE_HEADER_OVERFLOW":
      return platformErrors.problem("headers-too-large", "Address and headers hold more than 16 kB together. Nothing was stored.");
    case "HPE_CHUNK_EXTENSIONS_OVERFLOW":
      return platformErrors.problem("too-large", "There is more beside the chunks of the body than is taken. Nothing was stored.");
    case "ERR_HTTP_REQUEST_TIMEOUT":
      return platformErrors.problem("too-slow", "The call did not arrive whole in the time there is. Nothing was stored. Send it again.");
    default:
      return platformErrors.problem("not-http", "What was sent could not be read as HTTP. Nothing was stored.");
  }
}

/** Node.js keeps the answer that it is writing on the socket, and its own handler of this event asks the same. */
const answerBegun = (socket: Socket): boolean =>
  (socket as Socket & { readonly _httpMessage?: { readonly headersSent: boolean } | null })._httpMessage?.headersSent === true;
