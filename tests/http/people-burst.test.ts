import { expect, test } from "vitest";
import { openTestApp } from "../support/app.ts";

test("sixty people added at the same moment are all added, each with a record in its own place", async () => {
  const at = await openTestApp();
  try {
    const manager = await at.signIn("F001");
    const before = await at.context.db.prisma.ledger.count();
    const bodies = Array.from({ length: 60 }, (_, index) => ({
      ...{ staffNumber: `L${index + 100}`, name: "Somebody New", role: "rider", secret: "long enough" },
      depotIds: [at.cast.homeDepotId],
    }));
    const answers = await Promise.all(bodies.map((body) => manager.post("/v1/staff").send(body)));
    expect(answers.filter((answer) => answer.status !== 201).map((answer) => answer.text)).toEqual([]);
    expect(await at.context.db.prisma.ledger.count()).toBe(before + 60);
    const { recordCount } = await at.context.db.prisma.firm.findFirstOrThrow();
    expect(recordCount).toBe(before + 60);
  } finally {
    await at.close();
  }
});
