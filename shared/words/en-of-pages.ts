// The English words of the pages: what another language must hold, as `de.ts` does.
import { enOfDesks } from "./en-of-desks.ts";
import { enOfRiders } from "./en-of-riders.ts";

export const enOfPages = { ...enOfRiders, ...enOfDesks } as const;
