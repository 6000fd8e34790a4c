// What all parts of the story share: the context with its moved clock, the people as actors, the machines with their true values.
import type { Category } from "../shared/contracts/common.ts";
import type { ModelBody } from "../shared/contracts/fleet.ts";
import { addDays, daysBetween, isoWeek, localDay, startOfDay } from "../shared/rules/calendar.ts";
import type { JudgedMachine } from "../shared/rules/judge-reading.ts";
import { grounds } from "../shared/rules/machine-state.ts";
import type { AppContext } from "../src/acts/index.ts";
import type { Actor, MovedClock } from "../src/platform/index.ts";
import type { Dice } from "./dice.ts";
import type { MachinePlan, Part } from "./machines.ts";
import type { ModelKey } from "./models.ts";
import type { DepotKey } from "./people.ts";
import type { Timeline } from "./timeline.ts";
import type { Wear } from "./wear.ts";

export interface DemoDepot {
  readonly key: DepotKey;
  readonly id: string;
  readonly timeZone: string;
  /** the depot's day on which the story ends */
  readonly today: string;
  /** when the bench is free for the next grounded machine */
  benchFreeAt: number;
}

export interface DemoModel {
  readonly id: string;
  body: ModelBody;
}

export interface OpenFault {
  readonly id: string;
  readonly itemId: string | null;
  readonly observationIds: readonly string[];
  readonly category: Category;
  readonly dueDay: string | null;
  /** the story needs it to stay open, so the workshop does not touch it */
  held: boolean;
  /** what the workshop did is recorded, and waits to be signed off */
  repaired: boolean;
}

export interface DemoMachine {
  readonly plan: MachinePlan;
  readonly id: string;
  readonly depot: DemoDepot;
  readonly model: DemoModel;
  readonly wear: Wear;
  odometerKm: number;
  open: OpenFault[];
  /** something other than a defect forbids riding, as a rider was told: it is not used until an inspection */
  stands: boolean;
  withdrawn: boolean;
  /** who rides it today, and how much of the day is left to ride */
  ridden: { readonly rider: string; share: number } | null;
}

export interface World {
  readonly context: AppContext & { readonly clock: MovedClock };
  readonly dice: Dice;
  readonly timeline: Timeline;
  readonly now: Date;
  /** length of the history */
  readonly days: number;
  readonly depots: Readonly<Record<DepotKey, DemoDepot>>;
  readonly models: Readonly<Record<ModelKey, DemoModel>>;
  readonly actors: ReadonlyMap<string, Actor>;
  readonly machines: DemoMachine[];
  /** called where the last defect that grounded a machine is closed */
  readonly released: (machine: DemoMachine) => void;
}

export function actor(world: World, number: string): Actor {
  const found = world.actors.get(number);
  if (!found) throw new Error(`nobody has the number ${number}`);
  return found;
}

export function machineWith(world: World, part: Part): DemoMachine {
  const found = world.machines.find(({ plan }) => plan.part === part);
  if (!found) throw new Error(`no machine plays ${part}`);
  return found;
}

export const judged = ({ model }: DemoMachine): JudgedMachine => ({
  features: model.body.features,
  engineCc: model.body.engineCc,
  handbook: model.body.handbook,
  ruleSet: "gb",
});

export const isWorkday = (day: string): boolean => isoWeek(day).weekday !== 7;

/** The depot's day `offset` days from its today (negative: before). */
export const dayOf = (depot: DemoDepot, offset: number): string => addDays(depot.today, offset);

/** The same, or the last working day before it. */
export function workdayOf(depot: DemoDepot, offset: number): string {
  const day = dayOf(depot, offset);
  return isWorkday(day) ? day : addDays(day, -1);
}

/** An instant of a depot's day, in minutes after it began. Clocks change on Sundays, when nobody works. */
export const timeOf = (depot: DemoDepot, day: string, minutes: number): Date =>
  new Date(startOfDay(day, depot.timeZone).getTime() + minutes * 60_000);

export const hour = (hours: number, minutes = 0): number => hours * 60 + minutes;

export const minutesLater = (instant: Date, minutes: number): Date => new Date(instant.getTime() + minutes * 60_000);

/** Schedules an act of a depot's past; one that would fall on its today is left out, since it has not happened yet. */
export function happens(world: World, depot: DemoDepot, instant: Date, act: () => Promise<void> | void): void {
  if (instant < startOfDay(depot.today, depot.timeZone)) world.timeline.at(instant, act);
}

/** Days from today, negative before it. */
export const offsetOf = (depot: DemoDepot, instant: Date): number => daysBetween(depot.today, localDay(instant, depot.timeZone));

/** The story decides the standing of these machines on the first morning, so chance does not touch them in the last days. */
const decided: ReadonlySet<Part | undefined> = new Set<Part>([
  "fit-today",
  "cable-frayed",
  "waits-for-sign-off",
  "minor-overdue",
  "inspection-overdue",
  "papers-expired",
  "withdrawn",
]);
const quietDays = 13;

export const isQuiet = ({ plan, depot }: DemoMachine, instant: Date): boolean =>
  decided.has(plan.part) && offsetOf(depot, instant) >= -quietDays;

export const isGrounded = (machine: DemoMachine): boolean => machine.open.some(({ category }) => grounds(category));
