// What stands at an address, named by what it says: whoever changes it can say which version they read (RFC 9110, 8.8.3 and 13.1.1).
import { digestOf } from "../digest.ts";
import { platformErrors } from "../errors.ts";

/** The entity tag of what can be changed at an address. */
export const tagOf = (said: unknown): string => `"${digestOf(said).slice(0, 32)}"`;

/**
 * Throws `changed-meanwhile` where the caller says which version they read and another one stands there now; to be asked where the row is
 * held, so that nobody comes in between. `not-valid` for a header that names no tag. Without the header nothing is asked.
 */
export function mustMatch(ifMatch: string | undefined, said: unknown): void {
  if (ifMatch === undefined || ifMatch.trim() === "*") return;
  const tags = ifMatch.match(/(W\/)?"[^"]*"/g);
  if (tags === null) {
    const issues = [{ pointer: "/headers/if-match", message: "is no entity tag: send the ETag as it was answered, with its quotes" }];
    throw platformErrors.problem("not-valid", "The header If-Match could not be read. Nothing was stored.", { issues });
  }
  const now = tagOf(said);
  if (tags.includes(now)) return;
  throw platformErrors.problem(
    "changed-meanwhile",
    "Somebody changed this since you read it. Read it again, repeat your change on that, and send it with the new ETag. Nothing was stored.",
    { headers: { etag: now } },
  );
}
