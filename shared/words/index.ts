// For the service and its tools, which speak every language at any time: `speak.ts`, with all words learnt.
import { de } from "./de.ts";
import { en } from "./en.ts";
import { learn } from "./speak.ts";

learn("en", en);
learn("de", de);

export * from "./speak.ts";
