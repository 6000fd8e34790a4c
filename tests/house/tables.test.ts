// Which room writes which table: rows are written by the room that they belong to, and by those named here with a reason.
import { describe, expect, test } from "vitest";
import { filesOf } from "../support/sources.ts";

const writers: Readonly<Record<string, readonly string[]>> = {
  allocation: ["planning"],
  allocation_line: ["planning"],
  audit_pack: ["audit"],
  campaign: ["campaigns"],
  checkpoint: ["ledger"],
  checkpoint_time_stamp: ["witness"],
  daily_check: ["checks"],
  data_folder: ["photos"],
  // `keeping` forgets their words.
  defect: ["defects", "keeping"],
  defect_event: ["defects"],
  depot: ["fleet"],
  // The length of the firm's chain stands in the firm's row.
  firm: ["ledger", "people"],
  idempotency_key: ["platform"],
  inspection_draft: ["checks"],
  known_device: ["people"],
  // `acts` writes entries through the gate, all others by `ledger`; `keeping` forgets what they say.
  ledger: ["acts", "keeping", "ledger"],
  legal_hold: ["keeping"],
  // `fleet` takes machines in; whatever changes one is an act.
  machine: ["acts", "fleet"],
  machine_model: ["fleet"],
  machine_state_history: ["acts", "fleet"],
  paper: ["fleet"],
  paper_ending: ["fleet"],
  part: ["parts"],
  part_price: ["parts"],
  stock_record: ["parts"],
  photo: ["photos"],
  photo_use: ["photos"],
  refresh_token: ["people"],
  sealed_chain: ["ledger"],
  sealed_entry: ["ledger"],
  secret_event: ["people"],
  session: ["people"],
  sign_in_failure: ["people"],
  signing_key: ["keys"],
  staff: ["people"],
  tree: ["ledger"],
  tree_node: ["ledger"],
  weekly_inspection: ["checks"],
};

const snake = (name: string): string => name.replace(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`);

/** The tables that a source text writes, by SQL, by Prisma, or as rows of an act. */
function tablesWritten(text: string): string[] {
  const bySql = [...text.matchAll(/\b(?:INSERT INTO|DELETE FROM|UPDATE) (?:ONLY )?"?([a-z_]+)"?(?=[\s(])/g)].map(([, table]) => table);
  const byPrisma = [
    ...text.matchAll(/\.(?:prisma|tx)\.(\w+)\.(?:create|update|upsert|delete)|\btx\.(\w+)\.(?:create|update|upsert|delete)/g),
  ];
  const byAct = [...text.matchAll(/\binsertedInto(?:<[^(]*>)?\("([a-z_]+)"\)/g)].map(([, table]) => table);
  return [...bySql, ...byPrisma.map(([, one, other]) => snake(one ?? other ?? "")), ...byAct].filter((table) => table !== undefined);
}

describe("a room owns its tables", () => {
  const written = filesOf(["src"]).flatMap(({ path, text }) =>
    tablesWritten(text).map((table) => ({ path, room: path.split("/")[1] ?? "", table })),
  );

  test("each table is written by the rooms named here and by no other", () => {
    const foreign = written.filter(({ room, table }) => !(writers[table] ?? []).includes(room));
    expect(foreign.map(({ path, table }) => `${path} writes ${table}`)).toEqual([]);
  });

  test("and each room named here does write its table", () => {
    const idle = Object.entries(writers).flatMap(([table, rooms]) =>
      rooms.filter((room) => !written.some((one) => one.table === table && one.room === room)).map((room) => `${room} ${table}`),
    );
    expect(idle).toEqual([]);
  });

  test("writing is seen in each of its forms", () => {
    expect(
      tablesWritten(
        'INSERT INTO one (a)\nUPDATE two t SET\nDELETE FROM three WHERE\nawait tx.fourFive.createMany(\ninsertedInto<{ a: 1 }>("six")',
      ),
    ).toEqual(["one", "two", "three", "four_five", "six"]);
  });
});
