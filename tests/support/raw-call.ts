// A call written by hand, byte for byte: for what no HTTP client would send.
import { connect, type Socket } from "node:net";

export interface RawAnswer {
  readonly status: number;
  readonly headers: Readonly<Record<string, string>>;
  // biome-ignore lint/suspicious/noExplicitAny: answers are read field by field in tests
  readonly body: any;
}

/** Sends `text` to `port` of this machine and reads until the other side closes: each answer that came, in order. */
export async function rawCall(port: number, text: string): Promise<RawAnswer[]> {
  const socket = connect(port, "127.0.0.1");
  socket.write(text);
  return readAnswers(socket);
}

/** Reads until the other side closes: each answer that came, in order. */
export async function readAnswers(socket: Socket): Promise<RawAnswer[]> {
  let got = "";
  for await (const part of socket) got += String(part);
  return got === "" ? [] : got.split(/(?=HTTP\/1\.1 \d{3} )/).map(readAnswer);
}

function readAnswer(text: string): RawAnswer {
  const [head = "", body = ""] = text.split("\r\n\r\n", 2);
  const [first = "", ...lines] = head.split("\r\n");
  const headers = lines.map((line) => {
    const [name = "", ...value] = line.split(": ");
    return [name.toLowerCase(), value.join(": ")] as const;
  });
  return { status: Number(first.split(" ")[1]), headers: Object.fromEntries(headers), body: JSON.parse(body) };
}
