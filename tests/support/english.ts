// Whether something that ought to be in German says a word of English.
import { en } from "../../shared/words/en.ts";
import { otherLanguages } from "../../shared/words/index.ts";

const german = Object.values<string>(otherLanguages.de);
const squash = (text: string): string => text.replace(/[\s\u00a0]+/g, " ").trim();

/** Pieces of English long enough to be told from a name, of all that the service and its pages ever say; what German says alike left out. */
const pieces = Object.values(en)
  .flatMap((text) => text.split(/\{\w+\}/))
  .map(squash)
  .filter((piece) => piece.length >= 12 && !german.some((text) => squash(text).includes(piece)));

/** The English in these texts. */
export const englishIn = (texts: readonly string[]): string[] => {
  const said = texts.map(squash);
  return pieces.filter((piece) => said.some((text) => text.includes(piece)));
};
