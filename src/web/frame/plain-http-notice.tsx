import { say } from "./words.ts";

/** What is missing on a page that came over plain http, and what to do about it. */
export const PlainHttp = () =>
  globalThis.isSecureContext ? null : (
    <p class="notice" role="status">
      {say("page.https")}
    </p>
  );
