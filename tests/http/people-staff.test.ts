import { beforeEach, expect, test } from "vitest";
import type { SignedIn, StaffMember } from "../../shared/contracts/people.ts";
import type { Client } from "../support/app.ts";
import { codeOf } from "../support/cast.ts";
import { testService } from "../support/test-service.ts";

const { app: at } = testService();
let manager: Client;
let farManager: Client;
beforeEach(async () => {
  manager = await at.signIn("F001");
  farManager = await at.signIn("F101");
});

let numbers = 500;
/** A valid body for somebody new, with what the test changes. */
const somebody = (changes: Record<string, unknown> = {}) => {
  const staffNumber = `R${numbers++}`;
  return { staffNumber, name: "Zoë Новак", role: "rider", depotIds: [at.cast.homeDepotId], secret: codeOf(staffNumber), ...changes };
};
const added = async (changes: Record<string, unknown> = {}): Promise<StaffMember> =>
  (await manager.post("/v1/staff").send(somebody(changes)).expect(201)).body as StaffMember;
const amend = (id: string, body: object, by: Client = manager) => by.patch(`/v1/staff/${id}`).send(body);
const signIn = (staffNumber: string, secret = codeOf(staffNumber)) => at.anyone.post("/v1/sign-in").send({ staffNumber, secret });

/** Everything that a refused call must leave as it was. */
const everything = () =>
  at.context.db.rows(
    `SELECT (SELECT record_count FROM firm) AS records, (SELECT count(*)::int FROM ledger) AS entries,
       (SELECT md5(string_agg(to_jsonb(s)::text, '' ORDER BY id)) FROM staff s) AS staff,
       (SELECT md5(string_agg(to_jsonb(d)::text, '' ORDER BY staff_id, depot_id)) FROM staff_depot d) AS depots`,
  );
const lastEntries = (count: number) => at.context.db.prisma.ledger.findMany({ orderBy: { position: "desc" }, take: count });

test("a person is added with the record of it, can sign in, and no answer holds the secret or its hash", async () => {
  const body = somebody({ staffNumber: " m-77 ", role: "mechanic", competences: ["brakes", "engine", "brakes"], licenceClass: "A1" });
  const answer = await manager
    .post("/v1/staff")
    .send({ ...body, secret: "a secret of hers" })
    .expect(201);
  const { id, ...member } = answer.body as StaffMember;
  expect(member).toEqual({
    ...{ staffNumber: "M-77", name: "Zoë Новак", role: "mechanic", allDepots: false, depotIds: [at.cast.homeDepotId] },
    roles: ["mechanic"],
    ...{
      competences: ["brakes", "engine"],
      licenceClass: "A1",
      addedAt: at.context.clock.now().toISOString(),
      leftAt: null,
      lockedUntil: null,
      mustChangeSecret: true,
      codeExpiresAt: new Date(at.context.clock.now().getTime() + 7 * 86_400_000).toISOString(),
    },
  });
  await signIn("M-77", "a secret of hers").expect(200);
  const [entry] = await lastEntries(1);
  expect(entry).toMatchObject({ kind: "person-added", staffId: at.cast.staffId("F001"), depotId: at.cast.homeDepotId, machineId: null });
  expect(entry?.data).toEqual({
    ...{ personId: id, staffNumber: "M-77", role: "mechanic", allDepots: false },
    ...{ depotIds: [at.cast.homeDepotId], competences: ["brakes", "engine"] },
  });
  expect(JSON.stringify(entry)).not.toMatch(/Zo|secret|argon/);
});

test.each([
  ["no name", { name: undefined }],
  ["a name of blanks", { name: "   " }],
  ["a staff number with a space inside", { staffNumber: "R 1" }],
  ["a staff number of one character", { staffNumber: "R" }],
  ["a role that there is not", { role: "owner" }],
  ["a secret of seven characters", { secret: "1234567" }],
  ["a secret of 201 characters", { secret: "x".repeat(201) }],
  ["a competence that there is not", { role: "mechanic", competences: ["magic"] }],
  ["competences for a rider", { competences: ["brakes"] }],
  ["no depot", { depotIds: [] }],
  ["all depots and one by name", { allDepots: true }],
  ["a depot that there is not", { depotIds: ["019813f0-0000-7000-8000-00000000dead"] }],
  ["a depot id that is none", { depotIds: ["home"] }],
  ["a field that is the service's own", { secretHash: "x" }],
  ["an id of its own", { id: "019813f0-0000-7000-8000-00000000beef" }],
])("a person with %s is not valid, and nothing is written", async (_what, changes) => {
  const before = await everything();
  const answer = await manager.post("/v1/staff").send(somebody(changes));
  expect(answer.status).toBe(422);
  expect(answer.body.code).toBe("not-valid");
  expect(answer.body.issues[0].pointer).toMatch(/^\//);
  expect(await everything()).toEqual(before);
});

test("a staff number is given once, also to somebody who left and also side by side", async () => {
  const first = await added();
  await amend(first.id, { left: true }).expect(200);
  const before = await everything();
  const again = await manager.post("/v1/staff").send(somebody({ staffNumber: first.staffNumber.toLowerCase() }));
  expect([again.status, again.body.code]).toEqual([409, "staff-number-taken"]);
  expect(await everything()).toEqual(before);
  const twin = somebody();
  const both = await Promise.all([manager.post("/v1/staff").send(twin), manager.post("/v1/staff").send(twin)]);
  expect(both.map((answer) => answer.status).sort((a, b) => a - b)).toEqual([201, 409]);
});

test("staff is a manager's business", async () => {
  const before = await everything();
  const id = at.cast.staffId("R002");
  for (const staffNumber of ["R001", "M001", "A001"]) {
    const client = await at.signIn(staffNumber);
    for (const call of [client.get("/v1/staff"), client.post("/v1/staff").send(somebody()), amend(id, { role: "manager" }, client)]) {
      const answer = await call;
      expect([answer.status, answer.body.code]).toEqual([403, "not-your-role"]);
    }
  }
  for (const call of [at.anyone.get("/v1/staff"), at.anyone.post("/v1/staff").send(somebody()), amend(id, { left: true }, at.anyone)]) {
    expect((await call).status).toBe(401);
  }
  expect(await everything()).toEqual(before);
});

test("a manager of one depot adds and amends people of that depot only, and widens nobody's reach", async () => {
  const far = { depotIds: [at.cast.farDepotId] };
  const mine = (await farManager.post("/v1/staff").send(somebody(far)).expect(201)).body as StaffMember;
  await amend(mine.id, { name: "Renamed" }, farManager).expect(200);
  const before = await everything();
  const refused = [
    farManager.post("/v1/staff").send(somebody()),
    farManager.post("/v1/staff").send(somebody({ depotIds: [at.cast.homeDepotId, at.cast.farDepotId] })),
    farManager.post("/v1/staff").send(somebody({ allDepots: true, depotIds: [] })),
    amend(mine.id, { depotIds: [at.cast.homeDepotId] }, farManager),
    amend(mine.id, { allDepots: true }, farManager),
    amend(at.cast.staffId("R001"), { left: true }, farManager),
    amend(at.cast.staffId("M001"), { secret: "taken over" }, farManager),
    amend(at.cast.staffId("F001"), { left: true }, farManager),
    amend(at.cast.staffId("F101"), { allDepots: true }, farManager),
  ];
  for (const call of refused) {
    const answer = await call;
    expect([answer.status, answer.body.code]).toEqual([403, "other-depot"]);
  }
  expect(await everything()).toEqual(before);
});

test("a list shows the manager's depots and those who belong to all, by staff number, without hashes", async () => {
  const shown = async (client: Client, query: string) => {
    const answer = await client.get(`/v1/staff?limit=200${query}`).expect(200);
    expect(answer.text).not.toMatch(/argon|secretHash|test-/i);
    return (answer.body.items as StaffMember[]).map((member) => member.staffNumber);
  };
  const far = await shown(farManager, "");
  expect(far).toEqual(expect.arrayContaining(["A001", "F001", "F101", "M001", "R101"]));
  expect(far).not.toContain("R001");
  const all = await shown(manager, "");
  expect(all).toEqual(expect.arrayContaining(["R001", "R101"]));
  expect(all).toEqual([...all].sort());
  expect(await shown(manager, "&role=auditor")).toEqual(["A001"]);
  expect(await shown(manager, `&depotId=${at.cast.homeDepotId}`)).not.toContain("R101");
  expect((await farManager.get(`/v1/staff?depotId=${at.cast.homeDepotId}`)).body.code).toBe("other-depot");
});

test("pages of a list hold everybody once", async () => {
  const whole = (await manager.get("/v1/staff?limit=200&state=all").expect(200)).body.items as StaffMember[];
  const seen: string[] = [];
  let cursor: string | null = "";
  while (cursor !== null) {
    const answer = await manager.get(`/v1/staff?limit=3&state=all${cursor && `&cursor=${cursor}`}`).expect(200);
    seen.push(...(answer.body.items as StaffMember[]).map((member) => member.id));
    cursor = answer.body.nextCursor as string | null;
  }
  expect(seen).toEqual(whole.map((member) => member.id));
});

test.each(["limit=0", "limit=201", "limit=x", "cursor=made-up", "role=owner", "depotId=1", "state=gone", "page=2"])(
  "a list asked for with %s is not valid",
  async (query) => {
    expect((await manager.get(`/v1/staff?${query}`)).body.code).toBe("not-valid");
  },
);

test("those who left are listed when asked for", async () => {
  const gone = await added();
  await amend(gone.id, { left: true }).expect(200);
  const numbersIn = async (state: string) =>
    ((await manager.get(`/v1/staff?limit=200&state=${state}`).expect(200)).body.items as StaffMember[]).map((member) => member.staffNumber);
  expect(await numbersIn("active")).not.toContain(gone.staffNumber);
  expect(await numbersIn("left")).toContain(gone.staffNumber);
  expect(await numbersIn("all")).toContain(gone.staffNumber);
});

test("an amendment changes what it names, and its record says which fields and holds no name", async () => {
  const person = await added();
  const body = { name: "Ngọc Ánh", role: "mechanic", competences: ["drive"] };
  const after = (await amend(person.id, body).expect(200)).body as StaffMember;
  expect(after).toEqual({ ...person, name: "Ngọc Ánh", role: "mechanic", roles: ["mechanic"], competences: ["drive"] });
  const [entry] = await lastEntries(1);
  expect(entry?.kind).toBe("person-amended");
  expect(entry?.data).toEqual({
    ...{ personId: person.id, staffNumber: person.staffNumber, role: "mechanic", allDepots: false },
    ...{ depotIds: [at.cast.homeDepotId], competences: ["drive"], changed: ["name", "role", "competences"] },
  });
  expect(JSON.stringify(entry)).not.toMatch(/Ng|argon/);
});

test("an amendment to what stands there already writes nothing", async () => {
  const person = await added();
  const before = await everything();
  await amend(person.id, { name: person.name, depotIds: [at.cast.homeDepotId, at.cast.homeDepotId], licenceClass: null }).expect(
    200,
    person,
  );
  expect(await everything()).toEqual(before);
});

test("a mechanic who becomes a rider loses the competences; named depots end all depots, and the other way round", async () => {
  const person = await added({ role: "mechanic", competences: ["brakes"], allDepots: true, depotIds: [] });
  const rider = (await amend(person.id, { role: "rider", depotIds: [at.cast.farDepotId] }).expect(200)).body;
  expect(rider).toMatchObject({ competences: [], allDepots: false, depotIds: [at.cast.farDepotId] });
  expect((await amend(person.id, { allDepots: true }).expect(200)).body).toMatchObject({ allDepots: true, depotIds: [] });
});

test.each([
  ["nothing", {}],
  ["an unknown field", { nick: "x" }],
  ["another staff number", { staffNumber: "R999" }],
  ["competences for a rider", { competences: ["brakes"] }],
  ["no depots", { depotIds: [] }],
  ["a depot that there is not", { depotIds: ["019813f0-0000-7000-8000-00000000dead"] }],
  ["all depots off and none named", { allDepots: false, depotIds: [] }],
  ["left taken back", { left: false }],
  ["a short secret", { secret: "short" }],
  ["a name that is null", { name: null }],
  ["a list", []],
])("an amendment with %s is not valid, and nothing is written", async (_what, body) => {
  const id = at.cast.staffId("R001");
  const before = await everything();
  const answer = await amend(id, body);
  expect([answer.status, answer.body.code]).toEqual([422, "not-valid"]);
  expect(await everything()).toEqual(before);
});

test("all depots beside a list of depots is a contradiction", async () => {
  const answer = await amend(at.cast.staffId("R001"), { allDepots: true, depotIds: [at.cast.homeDepotId] });
  expect(answer.body.issues).toEqual([{ pointer: "/depotIds", message: "is left out where allDepots is true" }]);
});

test("an amendment of nobody is not found, and of no id is not valid", async () => {
  expect((await amend(at.context.newId(), { name: "x" })).body.code).toBe("not-found");
  expect((await amend("R001", { name: "x" })).body.code).toBe("not-valid");
});

test("a person who leaves is refused at once, with the access token that still holds", async () => {
  const person = await added();
  const { accessToken, refreshToken } = (await signIn(person.staffNumber).expect(200)).body as SignedIn;
  const client = at.clientWith(accessToken);
  await client.get("/v1/me").expect(200);
  const left = (await amend(person.id, { left: true }).expect(200)).body as StaffMember;
  expect(left.leftAt).toBe(at.context.clock.now().toISOString());
  expect((await client.get("/v1/me")).body.code).toBe("session-ended");
  expect((await at.anyone.post("/v1/sign-in/renewal").send({ refreshToken })).body.code).toBe("session-ended");
  expect((await signIn(person.staffNumber)).body.code).toBe("wrong-credentials");
  const session = await at.context.db.prisma.session.findFirstOrThrow({ where: { staffId: person.id } });
  expect(session).toMatchObject({ endedAt: at.context.clock.now(), endedWhy: "left" });
  expect((await lastEntries(1))[0]).toMatchObject({ kind: "person-left", data: { personId: person.id } });
  expect((await amend(person.id, { name: "Back" })).body.code).toBe("already-left");
});

test.each([1, 2, 3, 4, 5])("however sign-ins and the leaving meet, nobody who left holds a session (round %i)", async () => {
  const person = await added();
  const answers = await Promise.all([
    ...Array.from({ length: 6 }, () => signIn(person.staffNumber)),
    amend(person.id, { left: true }),
    ...Array.from({ length: 6 }, () => signIn(person.staffNumber)),
  ]);
  for (const answer of answers.filter((each) => each.body.accessToken)) {
    const { accessToken } = answer.body as SignedIn;
    expect((await at.clientWith(accessToken).get("/v1/me")).status).toBe(401);
  }
  expect(await at.context.db.prisma.session.count({ where: { staffId: person.id, endedAt: null } })).toBe(0);
});

test("a change of role counts from the next call", async () => {
  const person = await added({ role: "manager" });
  const client = await at.settleIn(person.staffNumber);
  await client.get("/v1/staff").expect(200);
  await amend(person.id, { role: "rider" }).expect(200);
  await client.get("/v1/staff").expect(403);
  expect((await client.get("/v1/me").expect(200)).body.role).toBe("rider");
});

test("a new secret ends the sessions of the old one and lifts a lock", async () => {
  const person = await added();
  const client = at.clientWith((await signIn(person.staffNumber).expect(200)).body.accessToken);
  for (let failure = 0; failure < 5; failure += 1) await signIn(person.staffNumber, "wrong-secret").expect(401);
  await signIn(person.staffNumber).expect(429);
  const locked = await manager.get("/v1/staff?limit=200").expect(200);
  const shown = (locked.body.items as StaffMember[]).find((member) => member.id === person.id);
  expect(shown?.lockedUntil).toBe(new Date(at.context.clock.now().getTime() + 15 * 60_000).toISOString());
  await amend(person.id, { secret: "quite another" }).expect(200);
  expect((await client.get("/v1/me")).body.code).toBe("session-ended");
  await signIn(person.staffNumber).expect(401);
  await signIn(person.staffNumber, "quite another").expect(200);
});

test.each([
  ["leave", { left: true }],
  ["become an auditor", { role: "auditor" }],
  ["be kept to one depot", { allDepots: false, depotIds: "home" }],
])("the last manager of all depots cannot %s, and stays signed in", async (_what, change) => {
  const before = await everything();
  const body = "depotIds" in change ? { ...change, depotIds: [at.cast.homeDepotId] } : change;
  const answer = await amend(at.cast.staffId("F001"), body);
  expect([answer.status, answer.body.code]).toEqual([409, "last-manager"]);
  expect(await everything()).toEqual(before);
  await manager.get("/v1/me").expect(200);
});

test("two managers who let each other go at the same moment leave one behind", async () => {
  const second = await added({ role: "manager", allDepots: true, depotIds: [] });
  const other = await at.settleIn(second.staffNumber);
  const answers = await Promise.all([amend(second.id, { left: true }, manager), amend(at.cast.staffId("F001"), { left: true }, other)]);
  const codes = answers.map((answer) => answer.status).sort((a, b) => a - b);
  expect(codes[0]).toBe(200);
  // The later one comes too late as the last manager, or is signed out already.
  expect([401, 409]).toContain(codes[1]);
  expect(await at.context.db.prisma.staff.count({ where: { role: "manager", allDepots: true, leftAt: null } })).toBe(1);
});
