// Which font files a paper is set in, and which of them can show a character.
import { createRequire } from "node:module";

const require = createRequire(import.meta.url);

/** One key per file: pdfkit parses a file again for every further key it is known by. */
export type FontKey = "text" | "text-bold" | "thai" | "thai-bold";

/** Noto Sans holds Latin, Greek, Cyrillic and Devanagari; Thai is a file of its own. SIL Open Font License 1.1. */
export const fontFiles: Readonly<Record<FontKey, string>> = {
  text: require.resolve("@expo-google-fonts/noto-sans/400Regular/NotoSans_400Regular.ttf"),
  "text-bold": require.resolve("@expo-google-fonts/noto-sans/700Bold/NotoSans_700Bold.ttf"),
  thai: require.resolve("@expo-google-fonts/noto-sans-thai/400Regular/NotoSansThai_400Regular.ttf"),
  "thai-bold": require.resolve("@expo-google-fonts/noto-sans-thai/700Bold/NotoSansThai_700Bold.ttf"),
};

/** The font that a character is set in. */
export const fontFor = (character: string, bold: boolean): FontKey => {
  const thai = /\p{Script=Thai}/u.test(character);
  if (thai) return bold ? "thai-bold" : "thai";
  return bold ? "text-bold" : "text";
};

/** Stands for a character that no embedded font can show: the reader sees that something is there. */
export const replacement = "\ufffd";
