// Entity tags made from the content: whoever changes something can say which version they read (RFC 9110, 8.8.3 and 13.1.1).
import { digestOf } from "../digest.ts";
import { platformErrors } from "../errors.ts";

/** The entity tag of a content. */
export const tagOf = (said: unknown): string => `"${digestOf(said).slice(0, 32)}"`;

/**
 * Throws `changed-meanwhile` if the caller names the version that they read and it is not the present one; call it with the row locked, so that
 * nobody changes it in between. Throws `not-valid` for a header that names no tag. Without the header nothing is checked.
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
