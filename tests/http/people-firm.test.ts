import { expect, test } from "vitest";
import { defaultPolicy } from "../../shared/rules/policy.ts";
import { foundFirm } from "../../src/people/index.ts";
import { readConfig } from "../../src/platform/index.ts";
import { openTestContext } from "../support/context.ts";
import { testService } from "../support/test-service.ts";

const { app: at } = testService();

const founding = { name: "Another Firm", demo: true, manager: { staffNumber: "f900", name: "Person F900", secret: "a long secret" } };
const entries = () => at.context.db.prisma.ledger.findMany({ where: { machineId: null }, orderBy: { position: "asc" } });

test("a founding writes the firm, its first manager, and one record of each", async () => {
  const [founded, added] = await entries();
  expect(founded).toMatchObject({ kind: "firm-founded", position: 1, staffId: null, data: { demo: false, policy: defaultPolicy } });
  expect(added).toMatchObject({ kind: "person-added", position: 2, data: { staffNumber: "F001", role: "manager", allDepots: true } });
  expect(founded?.chainId).toBe((await at.context.db.prisma.firm.findFirstOrThrow()).id);
});

test("a second founding is refused and writes nothing", async () => {
  const before = await entries();
  await expect(foundFirm(at.context, founding)).rejects.toMatchObject({ code: "firm-exists" });
  expect(await entries()).toEqual(before);
  expect(await at.context.db.prisma.staff.count({ where: { staffNumber: "F900" } })).toBe(0);
});

test("of two foundings at the same moment one takes place", async () => {
  const context = await openTestContext();
  try {
    const outcomes = await Promise.allSettled([foundFirm(context, founding), foundFirm(context, founding)]);
    expect(outcomes.map((outcome) => outcome.status).sort()).toEqual(["fulfilled", "rejected"]);
    expect(await context.db.prisma.staff.count()).toBe(1);
    const short = { ...founding, manager: { ...founding.manager, secret: "short" } };
    await expect(foundFirm(context, short)).rejects.toThrow();
  } finally {
    await context.close();
  }
});

test("the first start is configured by three variables together or by none", () => {
  const three = { FERRULE_FIRM_NAME: "A Firm", FERRULE_MANAGER_NUMBER: "F1", FERRULE_MANAGER_SECRET: "a long secret" };
  expect(readConfig({}).firstStart).toBeNull();
  expect(readConfig(three).firstStart).toEqual({ firmName: "A Firm", managerNumber: "F1", managerSecret: "a long secret" });
  expect(() => readConfig({ FERRULE_FIRM_NAME: "A Firm" })).toThrow(/together/);
});

test("every role reads the policy; nobody does without signing in", async () => {
  for (const staffNumber of ["R001", "M001", "F001", "F101", "A001"]) {
    await (await at.signIn(staffNumber)).get("/v1/policy").expect(200, defaultPolicy);
  }
  expect((await at.anyone.get("/v1/policy")).status).toBe(401);
});

test("a manager of all depots changes the policy, with before and after in the record; the same again writes nothing", async () => {
  const manager = await at.signIn("F001");
  const after = { ...defaultPolicy, secondPerson: "off", clearanceHours: 12 };
  await manager.put("/v1/policy").send(after).expect(200, after);
  await manager.get("/v1/policy").expect(200, after);
  const entry = (await entries()).at(-1);
  expect(entry).toMatchObject({ kind: "policy-changed", staffId: at.cast.staffId("F001") });
  expect(entry?.data).toEqual({ before: defaultPolicy, after, changed: expect.arrayContaining(["secondPerson", "clearanceHours"]) });
  const length = (await entries()).length;
  await manager.put("/v1/policy").send(after).expect(200, after);
  expect(await entries()).toHaveLength(length);
  await manager.put("/v1/policy").send({}).expect(200, defaultPolicy);
});

test("each record of changes at the same moment begins where the one before ended", async () => {
  const manager = await at.signIn("F001");
  const length = (await entries()).length;
  const choices = Array.from({ length: 10 }, (_, index) => ({ ...defaultPolicy, clearanceHours: index + 1 }));
  await Promise.all(choices.map((choice) => manager.put("/v1/policy").send(choice).expect(200)));
  let standing: unknown = defaultPolicy;
  for (const entry of (await entries()).slice(length)) {
    const { before, after } = entry.data as { before: unknown; after: unknown };
    expect(before).toEqual(standing);
    standing = after;
  }
  expect((await entries()).length).toBe(length + 10);
  await manager.put("/v1/policy").send({}).expect(200);
});

test("the yes or no of a second person that older clients send is read as what it means now", async () => {
  const manager = await at.signIn("F001");
  const put = async (secondPerson: unknown) =>
    (
      await manager
        .put("/v1/policy")
        .send({ ...defaultPolicy, secondPerson })
        .expect(200)
    ).body;
  expect((await put(false)).secondPerson).toBe("off");
  expect(await put(true)).toEqual(defaultPolicy);
  expect((await manager.put("/v1/policy").send({ secondPerson: "sometimes" })).body.code).toBe("not-valid");
});

test.each([
  ["a clearance of 25 hours", { clearanceHours: 25 }],
  ["a word for a number", { inspectionEveryDays: "7" }],
  ["half a day", { minorDefectDays: 0.5 }],
  ["an unknown choice", { helmets: false }],
  ["a list", []],
])("a policy with %s is not valid, and nothing is written", async (_what, body) => {
  const manager = await at.signIn("F001");
  const before = await entries();
  expect((await manager.put("/v1/policy").send(body)).body.code).toBe("not-valid");
  expect(await entries()).toEqual(before);
  await manager.get("/v1/policy").expect(200, defaultPolicy);
});

test("a manager of one depot, and every other role, is refused the change", async () => {
  const before = await entries();
  for (const [staffNumber, code] of [
    ["F101", "other-depot"],
    ["A001", "not-your-role"],
    ["M001", "not-your-role"],
    ["R001", "not-your-role"],
  ] as const) {
    const answer = await (await at.signIn(staffNumber)).put("/v1/policy").send({ secondPerson: "off" });
    expect([answer.status, answer.body.code]).toEqual([403, code]);
  }
  expect((await at.anyone.put("/v1/policy").send({ secondPerson: "off" })).status).toBe(401);
  expect(await entries()).toEqual(before);
});
