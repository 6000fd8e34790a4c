// An answer that is a file: the client would read it as text.

/** For `.buffer(true).parse(wholeBody)`: the body of the answer is its bytes. */
export function wholeBody(sent: unknown, done: (error: Error | null, body: Buffer) => void): void {
  const answer = sent as NodeJS.ReadableStream;
  const chunks: Buffer[] = [];
  answer.on("data", (chunk: Buffer) => chunks.push(chunk));
  answer.on("end", () => done(null, Buffer.concat(chunks)));
}
