// Who rides what: the optimum against every possibility, and what stands in the way of the rest.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { classNeeded, covers, readLicenceClass } from "../../shared/rules/licence.ts";
import { type Allocated, type AllocationRider, allocate, type ReadyMachine } from "../../src/planning/allocation.ts";
import { assign } from "../../src/statistics/assignment.ts";

/** The least cost of all ways to give each row a column of its own. */
function leastCost(costs: readonly (readonly number[])[]): number {
  const [first, ...rest] = costs;
  if (!first) return 0;
  return Math.min(...first.map((cost, taken) => cost + leastCost(rest.map((row) => row.filter((_, column) => column !== taken)))));
}

describe("assignment", () => {
  const matrix = fc
    .integer({ min: 1, max: 5 })
    .chain((rows) =>
      fc
        .integer({ min: rows, max: 6 })
        .chain((columns) =>
          fc
            .constantFrom(2, 50)
            .chain((most) =>
              fc.array(fc.array(fc.nat(most), { minLength: columns, maxLength: columns }), { minLength: rows, maxLength: rows }),
            ),
        ),
    );

  test("costs the least of all possibilities, each column taken once", () => {
    fc.assert(
      fc.property(matrix, (costs) => {
        const taken = [...assign(costs.flat(), costs.length, costs[0]?.length ?? 0)];
        expect(new Set(taken).size).toBe(costs.length);
        expect(taken.reduce((sum, column, row) => sum + (costs[row]?.[column] ?? Number.NaN), 0)).toBe(leastCost(costs));
      }),
      { numRuns: 400 },
    );
  });

  test("takes no more rows than columns, and nothing for nothing", () => {
    expect(() => assign([1, 2], 2, 1)).toThrow(RangeError);
    expect([...assign([], 0, 0)]).toEqual([]);
  });
});

const rider = (staffId: string, changes: Partial<AllocationRider> = {}): AllocationRider => ({
  ...{ staffId, licenceClass: "A", needsLoadBox: false, rodeBefore: null },
  ...changes,
});
const machine = (id: string, changes: Partial<ReadyMachine> = {}): ReadyMachine => ({
  ...{ id, engineCc: 110, hasLoadBox: true, riddenBy: [] },
  ...changes,
});

interface Way {
  readonly served: number;
  readonly changes: number;
  /** served though they rode nothing the day before */
  readonly fresh: number;
}

const isBetter = (one: Way, other: Way): boolean =>
  (one.served - other.served || other.changes - one.changes || other.fresh - one.fresh) > 0;

/** Of all ways to give machines to riders: the most served, then the fewest changes, then the fewest who had none before. */
function best(riders: readonly AllocationRider[], machines: readonly ReadyMachine[]): Way {
  const [first, ...rest] = riders;
  if (!first) return { served: 0, changes: 0, fresh: 0 };
  let found = best(rest, machines);
  for (const one of machines) {
    const licensed =
      first.licenceClass === null || { AM: 50, A1: 125, A2: 9999, A: 9999 }[first.licenceClass as "AM"] >= (one.engineCc ?? 0);
    const rides = one.riddenBy.includes(first.staffId);
    if (!licensed || (first.needsLoadBox && !one.hasLoadBox) || (one.riddenBy.length > 0 && !rides)) continue;
    const others = best(
      rest,
      machines.filter(({ id }) => id !== one.id),
    );
    const changed = first.rodeBefore !== null && first.rodeBefore !== one.id && !rides ? 1 : 0;
    const fresh = first.rodeBefore === null && !rides ? 1 : 0;
    const way = { served: others.served + 1, changes: others.changes + changed, fresh: others.fresh + fresh };
    if (isBetter(way, found)) found = way;
  }
  return found;
}

describe("allocation", () => {
  const machineIds = ["a", "b", "c", "d", "e"];
  const riders = fc.array(
    fc.record({
      licenceClass: fc.constantFrom("AM", "A1", "A2", "A", null),
      needsLoadBox: fc.boolean(),
      rodeBefore: fc.constantFrom(...machineIds, null, "gone"),
    }),
    { maxLength: 5 },
  );
  const riddenBy = fc.oneof({ weight: 3, arbitrary: fc.constant([]) }, fc.subarray(["0", "1", "2", "somebody else"]));
  const machines = fc.array(fc.record({ engineCc: fc.constantFrom(null, 49, 110, 250), hasLoadBox: fc.boolean(), riddenBy }), {
    maxLength: 5,
  });

  test("serves the most riders, then changes the fewest, then leaves out who rode nothing before: every possibility is tried", () => {
    fc.assert(
      fc.property(riders, machines, (people, ready) => {
        const asked = people.map((one, index) => rider(String(index), one));
        const there = ready.map((one, index) => machine(machineIds[index] ?? "", one));
        const { allocations, unserved } = allocate(asked, there);
        const rides = (who: string, what: string) => there.find(({ id }) => id === what)?.riddenBy.includes(who) === true;
        const isFresh = ({ staffId, machineId }: Allocated) => asked[Number(staffId)]?.rodeBefore === null && !rides(staffId, machineId);
        expect({
          served: allocations.length,
          changes: allocations.filter(({ changed }) => changed).length,
          fresh: allocations.filter(isFresh).length,
        }).toEqual(best(asked, there));
        expect(allocations.length + unserved.length).toBe(asked.length);
        expect(new Set(allocations.map(({ machineId }) => machineId)).size).toBe(allocations.length);
        for (const { staffId, machineId } of allocations) {
          const [who, what] = [asked[Number(staffId)], there.find(({ id }) => id === machineId)];
          if (what && what.riddenBy.length > 0) expect(what.riddenBy).toContain(staffId);
          if (who?.needsLoadBox) expect(what?.hasLoadBox).toBe(true);
          if (who?.licenceClass === "AM") expect(what?.engineCc ?? 0).toBeLessThanOrEqual(50);
        }
      }),
      { numRuns: 300 },
    );
  });

  test("a rider keeps the machine of the day before, unless that would leave somebody without", () => {
    const two = [machine("small", { engineCc: 49 }), machine("big")];
    expect(allocate([rider("1", { rodeBefore: "big" }), rider("2", { rodeBefore: "small" })], two).allocations).toEqual([
      { staffId: "1", machineId: "big", changed: false },
      { staffId: "2", machineId: "small", changed: false },
    ]);
    expect(allocate([rider("1", { rodeBefore: "small" }), rider("2", { licenceClass: "AM" })], two).allocations).toEqual([
      { staffId: "1", machineId: "big", changed: true },
      { staffId: "2", machineId: "small", changed: false },
    ]);
  });

  test("nobody's machine of the day before goes to one who had none, in whatever order they are named", () => {
    const people = [rider("own", { rodeBefore: "a" }), rider("none")];
    for (const asked of [people, [...people].reverse()]) {
      const { allocations, unserved } = allocate(asked, [machine("a")]);
      expect(allocations).toEqual([{ staffId: "own", machineId: "a", changed: false }]);
      expect(unserved).toEqual([{ staffId: "none", reason: "no-machine-left" }]);
    }
  });

  test("says of each rider without a machine what was in the way", () => {
    const reasons = (people: AllocationRider[], ready: ReadyMachine[]) => allocate(people, ready).unserved.map(({ reason }) => reason);
    expect(reasons([rider("1", { licenceClass: "AM" })], [machine("a")])).toEqual(["licence"]);
    expect(reasons([rider("1", { licenceClass: "unheard of" })], [machine("a")])).toEqual(["licence"]);
    expect(reasons([rider("1", { needsLoadBox: true })], [machine("a", { hasLoadBox: false })])).toEqual(["load-box"]);
    expect(reasons([rider("1"), rider("2")], [machine("a")])).toEqual(["no-machine-left"]);
    expect(reasons([rider("1"), rider("2")], [machine("a", { riddenBy: ["3"] })])).toEqual(["ridden", "ridden"]);
    expect(reasons([rider("1"), rider("2")], [machine("a", { riddenBy: ["1"] })])).toEqual(["ridden"]);
    expect(reasons([rider("1")], [])).toEqual(["no-machine-ready"]);
  });
});

describe("licence classes", () => {
  // SI 2012/977 sch. 3: AM up to 50 cc, A1 up to 125 cc. An electric machine counts as AM: the model gives no power.
  test.each([
    [null, "AM"],
    [49, "AM"],
    [50, "AM"],
    [51, "A1"],
    [125, "A1"],
    [126, "A2"],
  ])("%s cm³ takes %s", (engineCc, needed) => {
    expect(classNeeded(engineCc)).toBe(needed);
  });

  test("each class covers those before it; a car's covers AM; what is written otherwise is not compared", () => {
    const all = ["AM", "A1", "A2", "A"] as const;
    all.forEach((held, higher) => {
      all.forEach((needed, lower) => {
        expect(covers(held, needed)).toBe(higher >= lower);
      });
    });
    expect([" a1 ", "B", "A9"].map(readLicenceClass)).toEqual(["A1", "AM", null]);
  });
});
