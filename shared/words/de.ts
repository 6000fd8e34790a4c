// All German words of the pages. A page loads those of riders first, and those of the desks with them.
import { deOfDesks } from "./de-of-desks.ts";
import { deOfRiders } from "./de-of-riders.ts";
import type { WordsOfPages } from "./speak.ts";

export const de = { ...deOfRiders, ...deOfDesks } as const satisfies WordsOfPages;
