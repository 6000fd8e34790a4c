// What an entry says is read by shared/records and nowhere else: no cast says what it holds.
import { expect, test } from "vitest";
import { filesOf, type SourceFile } from "../support/sources.ts";

/** The rooms that read entries; the platform knows none, and the pages get answers. */
const files = filesOf(["src", "shared/records"]).filter(({ path }) => !/^src\/(platform|http|database|web)\//.test(path));

const said = "(?:data|said|told|submitted|outcome|inspection|raised|entry|record)";
/** A cast of one of these names, of a member of it, or of one with something to fall back on; not one of what an entry is besides. */
const cast = new RegExp(`\\b${said}(?:\\??\\.(?!kind\\b)\\w+|(?:\\?\\.)?\\[[^\\]]*\\])*(?: \\?\\? \\S+)?\\)? as (?!const\\b)[A-Z{(\\w]`);

const castsIn = ({ path, text }: SourceFile): string[] =>
  text
    .split("\n")
    .filter((line) => !/^\s*(\/\/|\/?\*)/.test(line) && cast.test(line.replace(/"[^"]*"|`[^`]*`/g, '""')))
    .map((line) => `${path}: ${line.trim()}`);

test("no cast says what an entry holds", () => {
  expect(files.length).toBeGreaterThan(150);
  expect(files.flatMap(castsIn)).toEqual([]);
});

test("the check above sees the casts that there were", () => {
  const casts = [
    "const { photos } = (data ?? {}) as { readonly photos?: unknown };",
    "const of = (event.data as { readonly submitted: Body } | null)?.submitted ?? {};",
    "...weight(row.recordedAt, row.raised as Said | null),",
    "  data: step.data as CourseStep['data'],",
    'verdicts: outcome.verdicts as Receipt["verdicts"],',
    'const sent = known.data?.["submitted"] as Body;',
  ];
  expect(casts.flatMap((text) => castsIn({ path: "x", text }))).toHaveLength(casts.length);
  const others = [
    "const kind = entry.kind as Kind;",
    "// what was said as it was told",
    'data: { as: "it" } as const,',
    "const all = data as const;",
  ];
  expect(others.flatMap((text) => castsIn({ path: "x", text }))).toEqual([]);
});
